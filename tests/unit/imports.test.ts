import { describe, expect, it } from "vitest";
import { brokenImports, specifiersOf } from "../support/import-rules.js";
import { sourceFiles } from "../support/source-files.js";

const files = sourceFiles("src", "kernel-helpers");

describe("imports", () => {
  it("go from notebooks to kernel-helpers to src, and in src to the left only", () => {
    expect(files.length).toBeGreaterThan(80);
    expect(files.flatMap(brokenImports)).toEqual([]);
  });

  it("of mathjs and plotly stand in kernel-helpers", () => {
    const users = files.filter(({ text }) => specifiersOf(text).some((specifier) => /^(?:mathjs|plotly)/.test(specifier)));
    expect(users.filter(({ path }) => !path.startsWith("kernel-helpers/")).map(({ path }) => path)).toEqual([]);
    expect(users.map(({ path }) => path)).toContain("kernel-helpers/quantity-unit.ts");
  });

  const file = (path: string, text: string): readonly string[] => brokenImports({ path, text });
  it("are found in every form", () => {
    const forms = ['import { a } from "X";', 'import type { A } from "X";', 'import a, { type B } from "X";', 'import * as a from "X";', 'import {\n  a,\n  b,\n} from "X";', 'import "X";', 'export { a } from "X";', 'export * from "X";', 'export type { A } from "X";', 'const a = await import("X");', 'const a = require("X");', 'type A = import("X").A;'];
    for (const form of forms) expect(specifiersOf(`const before = 1;\n${form}\n`), form).toEqual(["X"]);
    for (const form of ['/** import { a } from "X"; */', '// import { a } from "X";', 'const text = "from X";', 'export const a = "X";']) expect(specifiersOf(`${form}\n`), form).toEqual([]);
  });

  it("that break a rule are told, by breaking each", () => {
    const broken: readonly (readonly [path: string, specifier: string])[] = [
      ["src/air/air.ts", "../driver/parameters.js"],
      ["src/acoustics/solve.ts", "../predict/predict.js"],
      ["src/measure/sweep.ts", "../record/digest.js"],
      ["src/errors.ts", "./math/curve.js"],
      ["src/errors.ts", "./notes.js"],
      ["src/math/curve.ts", "../geometry/outline.js"],
      ["src/somewhere/a.ts", "../errors.js"],
      ["src/air/air.ts", "../errors"],
      ["src/air/air.ts", "../errors.ts"],
      ["src/air/air.ts", "../math/index.js"],
      ["src/air/air.ts", "../../kernel-helpers/quantity.js"],
      ["src/air/air.ts", "node:fs"],
      ["src/air/air.ts", "mathjs"],
      ["src/measure/sweep.ts", "papaparse"],
      ["kernel-helpers/words/air.ts", "papaparse"],
      ["src/measure/explain.ts", "ml-levenberg-marquardt"],
      ["src/space/cabin.ts", "ml-matrix"],
      ["kernel-helpers/words/air.ts", "fs"],
      ["kernel-helpers/words/air.ts", "../../tests/support/close.js"],
    ];
    for (const [path, specifier] of broken) expect(file(path, `import type { A } from "${specifier}";`).length, `${path} ${specifier}`).toBeGreaterThan(0);
    const fine: readonly (readonly [path: string, specifier: string])[] = [
      ["src/air/air.ts", "../errors.js"],
      ["src/air/air.ts", "./wall-loss.js"],
      ["src/predict/predict.ts", "../space/free.js"],
      ["src/record/digest.ts", "node:crypto"],
      ["src/measure/table-text.ts", "papaparse"],
      ["src/math/least-squares.ts", "ml-levenberg-marquardt"],
      ["kernel-helpers/words/air.ts", "../../src/air/air.js"],
      ["kernel-helpers/words/air.ts", "node:fs"],
    ];
    for (const [path, specifier] of fine) expect(file(path, `import { A } from "${specifier}";`), `${path} ${specifier}`).toEqual([]);
  });
});
