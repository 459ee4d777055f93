import { expect, test } from "vitest";
import { doubled, halved } from "../../src/math/half-band.js";

const halve = (values: Float32Array): Float32Array => {
  const run = halved(values);
  for (let next = run.next(); ; next = run.next()) if (next.done === true) return next.value;
};
const sine = (count: number, turns: number): Float32Array => Float32Array.from({ length: count }, (_, n) => Math.sin(2 * Math.PI * turns * n + 0.3));

test.each([0.001, 0.06, 0.149])("half the rate keeps a sine of %d of the rate, twice the rate brings it back", (turns) => {
  const low = halve(sine(4001, turns)), again = doubled(Float64Array.from(low));
  for (let n = 20; n < 1980; n++) expect(Math.abs(low[n]! - Math.sin(4 * Math.PI * turns * n + 0.3))).toBeLessThan(2e-6);
  for (let n = 60; n < 3900; n++) expect(Math.abs(again[n]! - Math.sin(2 * Math.PI * turns * n + 0.3))).toBeLessThan(3e-6);
});

test.each([0.351, 0.42, 0.49])("a sine of %d of the rate leaves nothing", (turns) => {
  const low = halve(sine(4000, turns));
  for (let n = 20; n < 1980; n++) expect(Math.abs(low[n]!)).toBeLessThan(2e-6);
});
