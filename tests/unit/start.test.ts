import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";

interface Start {
  nodeProblem(version: string): string;
  npmCommand(environment: object, platform: string): { program: string; before: string[]; shell: boolean };
  installedAgrees(lock: unknown, installed: unknown): boolean;
  countTests(report: unknown, code: number): { passed: number; failed: number };
}

const fromHere = createRequire(import.meta.url);
const start = fromHere("../../kernel-helpers/start.cjs") as Start;
const fileOf = (name: string): string => fileURLToPath(new URL(`../../kernel-helpers/${name}`, import.meta.url));

interface SyntaxNode {
  readonly kind: number;
  readonly flags: number;
  readonly arguments?: { readonly hasTrailingComma?: boolean };
  readonly parameters?: readonly SyntaxNode[] & { readonly hasTrailingComma?: boolean };
  readonly initializer?: unknown;
  readonly questionDotToken?: unknown;
  readonly variableDeclaration?: unknown;
}
interface Compiler {
  readonly SyntaxKind: Readonly<Record<string, number>>;
  createSourceFile(name: string, text: string, target: number): SyntaxNode;
  forEachChild(node: SyntaxNode, visit: (child: SyntaxNode) => void): void;
  readonly NodeFlags: { readonly BlockScoped: number };
}

/** Names of what a script uses beyond the fifth edition of the language, which every Node can read. */
function newerSyntax(text: string): string[] {
  const compiler = createRequire(fromHere.resolve("tslab"))("@tslab/typescript-for-tslab") as Compiler;
  // By number: some numbers have several names, and the way back from the number finds the wrong one.
  const newer = new Map([
    "ArrowFunction", "TemplateExpression", "NoSubstitutionTemplateLiteral", "TaggedTemplateExpression", "ClassDeclaration",
    "ClassExpression", "SpreadElement", "SpreadAssignment", "ShorthandPropertyAssignment", "ForOfStatement", "YieldExpression",
    "ObjectBindingPattern", "ArrayBindingPattern", "ComputedPropertyName", "AsyncKeyword", "AwaitExpression", "MethodDeclaration",
    "AsteriskAsteriskToken", "QuestionQuestionToken", "DotDotDotToken", "BigIntLiteral", "ImportDeclaration", "MetaProperty",
    "BarBarEqualsToken", "QuestionQuestionEqualsToken", "AmpersandAmpersandEqualsToken",
  ].map((name) => [compiler.SyntaxKind[name], name] as const));
  const found: string[] = [];
  const visit = (node: SyntaxNode): void => {
    const is = (name: string): boolean => node.kind === compiler.SyntaxKind[name];
    const name = newer.get(node.kind);
    if (name !== undefined) found.push(name);
    if (is("VariableDeclarationList") && (node.flags & compiler.NodeFlags.BlockScoped) !== 0) found.push("let or const");
    if (is("CatchClause") && node.variableDeclaration === undefined) found.push("catch without a name");
    if (is("Parameter") && node.initializer !== undefined) found.push("default of a parameter");
    if (node.questionDotToken !== undefined) found.push("?.");
    if (node.arguments?.hasTrailingComma || node.parameters?.hasTrailingComma) found.push("comma after the last argument");
    compiler.forEachChild(node, visit);
  };
  visit(compiler.createSourceFile("script.js", text, 99));
  return found;
}

describe("start.cjs and airpath.cjs", () => {
  it.each(["start.cjs", "airpath.cjs"])("%s can be read by an old Node", (name) => {
    expect(newerSyntax(readFileSync(fileOf(name), "utf8"))).toEqual([]);
  });

  it.each([
    ["const a = 1;", "let or const"],
    ["var f = () => 1;", "ArrowFunction"],
    ["try { a(); } catch { b(); }", "catch without a name"],
    ["f(1, 2,);", "comma after the last argument"],
    ["function f(a = 1) {}", "default of a parameter"],
    ["var a = b ?? c;", "QuestionQuestionToken"],
    ["var a = b?.c;", "?."],
    ["var a = `x`;", "NoSubstitutionTemplateLiteral"],
    ["var a = { b };", "ShorthandPropertyAssignment"],
    ["var a = async function () {};", "AsyncKeyword"],
  ])("the check sees %s", (text, name) => {
    expect(newerSyntax(text)).toContain(name);
  });

  it.each([
    ["start.cjs", ["demo"]],
    ["airpath.cjs", ["--version"]],
  ])("%s says one line and ends with 1 on an old Node", (name, args) => {
    const folder = mkdtempSync(join(tmpdir(), "airpath-start-"));
    try {
      const preload = join(folder, "old.cjs");
      writeFileSync(preload, 'Object.defineProperty(process, "version", { value: "v16.20.1" });');
      const result = spawnSync(process.execPath, ["-r", preload, fileOf(name), ...args], { encoding: "utf8" });
      expect(result).toMatchObject({ status: 1, stdout: "" });
      expect(result.stderr).toMatch(/^airpath needs Node\.js 20\.19 .*this is Node\.js v16\.20\.1\..*\n$/);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it("says what it can do when asked for something else", () => {
    const result = spawnSync(process.execPath, [fileOf("start.cjs"), "dmeo"], { encoding: "utf8" });
    expect(result).toMatchObject({ status: 2, stdout: "" });
    expect(result.stderr).toContain("demo, kernel, pictures, test, test:browser, bench, demo-data");
  });
});

describe("the Node check", () => {
  // The lower ends are those of the packages that airpath needs (their "engines" fields).
  it.each(["v20.19.0", "v20.20.2", "v22.13.0", "v24.0.0", "v26.1.0", "20.19.0"])("takes %s", (version) => {
    expect(start.nodeProblem(version)).toBe("");
  });
  it.each(["v6.17.1", "v18.20.4", "v20.18.3", "v21.7.3", "v22.12.0", "v23.11.0", "", "nonsense"])("refuses %s", (version) => {
    expect(start.nodeProblem(version)).toContain("this is Node.js");
  });
});

describe("the npm that installs", () => {
  it("is the one that started the script, else the one of the system", () => {
    expect(start.npmCommand({ npm_execpath: "/x/npm-cli.js" }, "win32")).toEqual({ program: process.execPath, before: ["/x/npm-cli.js"], shell: false });
    expect(start.npmCommand({ npm_execpath: "/x/other.cjs" }, "linux")).toEqual({ program: "npm", before: [], shell: false });
    expect(start.npmCommand({}, "win32")).toEqual({ program: "npm.cmd", before: [], shell: true });
  });
});

describe("the comparison with what is installed", () => {
  const lock = { packages: { "": { version: "1" }, a: { version: "1.0.0", integrity: "x" }, b: { version: "2.0.0", optional: true } } };
  it("agrees when all but packages for other systems are there", () => {
    expect(start.installedAgrees(lock, { packages: { a: { version: "1.0.0", integrity: "x" } } })).toBe(true);
  });
  it.each([
    { packages: {} },
    { packages: { a: { version: "1.0.1", integrity: "x" } } },
    { packages: { a: { version: "1.0.0", integrity: "y" } } },
    { packages: { a: { version: "1.0.0", integrity: "x" }, b: { version: "2.0.1" } } },
    undefined,
    {},
  ])("does not agree with %j", (installed) => {
    expect(start.installedAgrees(lock, installed)).toBe(false);
  });
});

describe("the closing count", () => {
  const file = (status: string, ...tests: string[]): object => ({ status, assertionResults: tests.map((one) => ({ status: one })) });
  it("adds a file that could not be run to the failures", () => {
    const report = { numPassedTests: 5, numFailedTests: 1, testResults: [file("passed", "passed"), file("failed", "failed"), file("failed")] };
    expect(start.countTests(report, 1)).toEqual({ passed: 5, failed: 2 });
  });
  it("never says that nothing failed when the run failed", () => {
    expect(start.countTests({ numPassedTests: 3, numFailedTests: 0, testResults: [] }, 1)).toEqual({ passed: 3, failed: 1 });
    expect(start.countTests(undefined, 1)).toEqual({ passed: 0, failed: 1 });
    expect(start.countTests({ numPassedTests: 3, numFailedTests: 0, testResults: [] }, 0)).toEqual({ passed: 3, failed: 0 });
  });
});
