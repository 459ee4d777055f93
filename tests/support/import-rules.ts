import { posix } from "node:path";
import type { SourceFile } from "./source-files.js";

/** Rooms of src from left to right; a file imports its own room and rooms to its left. Rooms in one group must not import each other. */
const order: readonly (readonly string[])[] = [["errors", "notes"], ["math", "geometry"], ["air"], ["driver"], ["acoustics"], ["enclosure"], ["space"], ["predict"], ["limits"], ["filter"], ["search"], ["fold"], ["field"], ["cut"], ["measure"], ["record"]];

const placeOf: ReadonlyMap<string, number> = new Map(order.flatMap((rooms, i) => rooms.map((room) => [room, i] as const)));

/** The files that wrap a library for the rest of src. */
const libraryHomes: ReadonlyMap<string, readonly string[]> = new Map([
  ["papaparse", ["src/measure/table-text.ts"]],
  ["clipper2-ts", ["src/geometry/clip.ts"]],
  ["@tarikjabiri/dxf", ["src/cut/dxf.ts"]],
  ["ml-levenberg-marquardt", ["src/math/least-squares.ts"]],
  ["ml-matrix", ["src/math/least-squares.ts", "src/math/symmetric-modes.ts"]],
]);

/** Name of the package that a specifier stands for. */
const libraryOf = (specifier: string): string => specifier.split("/").slice(0, specifier.startsWith("@") ? 2 : 1).join("/");

/** What a file imports: the text between the quotation marks, of static, dynamic and type imports and of "export from". */
export function specifiersOf(text: string): string[] {
  // doc comments show imports that are none
  const code = text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/(^|\s)\/\/[^\n]*/g, "$1");
  const statements = /(?:^|[;\n{}])\s*(?:import|export)\b(?:[^"'`;=()]*?\bfrom)?\s*["']([^"'\n]+)["']/g;
  const calls = /\b(?:import|require|load)\(\s*["']([^"'\n]+)["']\s*\)/g;
  return [...code.matchAll(statements), ...code.matchAll(calls)].map((found) => found[1]!);
}

function roomOf(path: string): string {
  const [, first = "", second] = path.split("/");
  return second === undefined ? first.replace(/\.ts$/, "") : first;
}

/** One line for each import that breaks a rule. */
export function brokenImports({ path, text }: SourceFile): string[] {
  const broken: string[] = [];
  for (const specifier of specifiersOf(text)) {
    const tell = (why: string): void => void broken.push(`${path} imports "${specifier}": ${why}`);
    if (specifier.startsWith(".")) relativeImport(path, specifier, tell);
    else if (specifier.startsWith("node:")) {
      if (path.startsWith("src/") && !(path === "src/record/digest.ts" && specifier === "node:crypto")) tell("node modules belong to kernel-helpers");
    } else if (libraryHomes.has(libraryOf(specifier))) {
      const homes = libraryHomes.get(libraryOf(specifier))!;
      if (!homes.includes(path)) tell(`${libraryOf(specifier)} belongs to ${homes.join(" and ")}`);
    } else if (path.startsWith("src/")) tell("src imports no library");
    if (/^(?:fs|path|os|url|util|child_process|crypto|module|process|http|https|net|worker_threads)(?:\/|$)/.test(specifier)) tell("node modules are written with node:");
  }
  return broken;
}

function relativeImport(path: string, specifier: string, tell: (why: string) => void): void {
  const target = posix.join(posix.dirname(path), specifier);
  if (/\.json$/.test(target) && !path.startsWith("src/")) return;
  if (/\.cjs$/.test(target) && path.startsWith("kernel-helpers/")) return;
  if (!/\.js$/.test(target)) tell('specifiers end in ".js"');
  if (/\/index\.js$/.test(target)) tell("files are imported directly, not by a folder index");
  const from = path.split("/")[0]!, to = target.split("/")[0]!;
  if (from === "src" && to !== "src") tell("src imports nothing from above");
  if (from === "kernel-helpers" && to !== "src" && to !== "kernel-helpers") tell("kernel-helpers imports src and itself");
  if (from !== "src" || to !== "src") return;
  const own = roomOf(path), other = roomOf(target.replace(/\.js$/, ".ts"));
  const here = placeOf.get(own), there = placeOf.get(other);
  if (here === undefined) tell(`the room "${own}" is not in the order`);
  if (there === undefined) tell(`the room "${other}" is not in the order`);
  if (here !== undefined && there !== undefined && own !== other && there >= here) tell(`"${other}" does not stand to the left of "${own}"`);
}
