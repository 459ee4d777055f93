import { expect, test } from "vitest";
import type { Change } from "../../kernel-helpers/words/explain-change.js";
import { explainedChanges, explainSentences } from "../../kernel-helpers/words/explain-text.js";
import type { ExplainedSet } from "../../kernel-helpers/words/explain-data.js";
import type { Deviations } from "../../src/measure/explain.js";

// One change that ends at none, with an interval of no width, and what is left at a single frequency.
const change = { name: "fill", how: "", lower: 0, upper: 4, none: 0, floor: 0, apply: () => undefined, tell: (x: number) => (x <= 0.01 ? "none" : `${10 ** x} Pa s/m^2`), inUnit: (x: number) => 10 ** x, unit: "Pa s/m^2" } as unknown as Change;
const set = { kind: "level", name: "level", frequencies: Float64Array.of(30, 40, 50), measured: new Float64Array(3), points: 3, from: "yard" } as ExplainedSet;
const found = (band: readonly [number, number], halfWidth: number): Deviations => ({
  changes: [{ name: "fill", value: 0, halfWidth, none: 0, atBound: undefined, isOff: false, explainsAlone: 0, explainsLast: 0, leftAfter: 1, order: 1, largestDb: 0, largestAt: 0 }],
  groups: [], silent: [], condition: 1, correlation: Float64Array.of(1), before: new Float64Array(3), after: new Float64Array(3), widening: 1,
  left: [{ rmsDb: 0.5, noiseDb: 0.1, hasStructure: true, band, meanDb: -0.4, beforeDb: 1 }],
});
const last = (band: readonly [number, number]): string => {
  const one = found(band, 0);
  return explainSentences(one, explainedChanges(one, [change], [set]), [change], { sets: [set], band: [30, 50] }).sentences.at(-1)!;
};

test("what is left at one frequency is told as near it, a wider part from and to", () => {
  expect(last([30, 30])).toContain("not noise: near 30 Hz the measurement is 0.40 dB below");
  expect(last([30, 40])).toContain("not noise: from 30 Hz to 40 Hz the measurement");
});

test("an interval whose ends are told alike is one value", () => {
  expect(explainedChanges(found([30, 40], 0), [change], [set])[0]!.intervalText).toBe("none");
  expect(explainedChanges(found([30, 40], 2), [change], [set])[0]!.intervalText).toBe("none to 100 Pa s/m^2");
});
