import { createRequire } from "node:module";
import type { SourceFile } from "./source-files.js";

/** The little that is used of the parser. The compiler of the build has no programming interface; the one of the kernel has. */
interface Node {
  readonly kind: number;
  readonly name?: Node;
  readonly type?: Node;
  readonly types?: readonly Node[];
  readonly elementType?: Node;
  readonly typeName?: Node;
  readonly members?: readonly Node[];
  readonly parameters?: readonly Node[];
  readonly declarationList?: { readonly declarations: readonly Node[] };
  readonly modifiers?: readonly Node[];
  readonly statements?: readonly Node[];
  getText(): string;
  getFullText(): string;
  getStart(): number;
  getFullStart(): number;
}
interface Parser {
  createSourceFile(name: string, text: string, target: number, setParents: boolean): Node;
  readonly ScriptTarget: { readonly Latest: number };
  readonly SyntaxKind: Readonly<Record<string, number>>;
}

const ts = createRequire(import.meta.url)("@tslab/typescript-for-tslab") as Parser;
const kinds = ts.SyntaxKind;

const units = [
  "m", "mm", "cm", "km", "um", "m\\^2", "cm\\^2", "mm\\^2", "m\\^3", "L", "litres?", "kg", "g", "s", "ms", "us", "Hz", "kHz", "rad", "radians?", "octaves?", "rad/s", "rad/m", "1/m", "1/s", "sr", "deg", "degrees", "dB", "V", "A", "W", "ohm", "H", "mH", "F", "N", "Pa", "uPa",
  "1/dB\\^2", "1/m\\^2", "1/m", "s/rad", "rad/s", "kg/m\\^2", "Pa/m", "Pa s", "Pa s/m\\^[23]", "m\\^3/\\(?Pa s\\)?", "m\\^3/s", "m\\^3/Pa", "m\\^5/N", "m/s", "m/N", "N s/m", "T m", "kg/m\\^[34]", "bytes?", "pixels?", "px", "characters?", "milliseconds?", "seconds?", "points", "%", "no units?", "own units?", "SI units?", "SI", "same unit as \\S+", "units? named", "unit of \\S+", "`unit`",
];
const known = new RegExp(`(?:^|[\\s(,;:])(?:${units.join("|")})(?=$|[\\s).,;:"])`);

/** True for a text that names a unit, or says that there is none. */
export function namesUnit(text: string): boolean {
  return known.test(text.replace(/^\s*\*/gm, " "));
}

/** One line for each exported number or array of numbers, as member, constant or result, whose comment names no unit. */
export function undocumentedUnits({ path, text }: SourceFile): string[] {
  const source = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true);
  const failures: string[] = [];
  const check = (name: string, comment: string): void => {
    if (!namesUnit(comment)) failures.push(`${path}: ${name}: ${comment === "" ? "no comment" : "no unit in its comment"}`);
  };
  for (const statement of source.statements ?? []) {
    if (!(statement.modifiers ?? []).some((modifier) => modifier.kind === kinds["ExportKeyword"])) continue;
    const name = statement.name?.getText() ?? "";
    if (statement.kind === kinds["InterfaceDeclaration"]) checkMembers(statement, name, check);
    else if (statement.kind === kinds["TypeAliasDeclaration"]) checkLiterals(statement.type, name, check);
    else if (statement.kind === kinds["FunctionDeclaration"] && isNumeric(statement.type)) check(`${name}()`, commentOf(statement));
    else if (statement.kind === kinds["VariableStatement"]) {
      for (const declaration of statement.declarationList?.declarations ?? []) if (isNumeric(declaration.type)) check(declaration.name!.getText(), commentOf(statement));
    }
  }
  return failures;
}

function checkMembers(holder: Node, name: string, check: (name: string, comment: string) => void): void {
  for (const member of holder.members ?? []) {
    if (member.kind !== kinds["PropertySignature"]) continue;
    const full = `${name}.${member.name!.getText()}`;
    if (isNumeric(member.type)) check(full, commentOf(member));
    else if (member.type?.kind === kinds["TypeLiteral"] && !namesUnit(commentOf(member))) checkMembers(member.type, full, check);
  }
}

/** Members of the object literals of a type alias, in a union or intersection too. */
function checkLiterals(type: Node | undefined, name: string, check: (name: string, comment: string) => void): void {
  if (type === undefined) return;
  if (type.kind === kinds["TypeLiteral"]) checkMembers(type, name, check);
  for (const part of type.types ?? []) checkLiterals(part, name, check);
}

/** number, Float64Array or a list of numbers, also beside undefined. */
function isNumeric(type: Node | undefined): boolean {
  if (type === undefined) return false;
  if (type.kind === kinds["UnionType"]) return (type.types ?? []).some(isNumeric);
  return /^(?:number|Float64Array|(?:readonly )?number\[\])$/.test(type.getText());
}

/** The doc comment before a node, without its signs; empty when there is none. */
function commentOf(node: Node): string {
  const before = node.getFullText().slice(0, node.getStart() - node.getFullStart());
  const found = [...before.matchAll(/\/\*\*([\s\S]*?)\*\//g)].at(-1);
  return found === undefined ? "" : found[1]!.replace(/^\s*\*/gm, "").trim();
}
