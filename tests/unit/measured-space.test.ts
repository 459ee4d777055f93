import { expect, test } from "vitest";
import { makeCurve, type Curve } from "../../src/math/curve.js";
import { transferBetween } from "../../src/space/measured.js";

const frequencies = Float64Array.from({ length: 20 }, (_, i) => 20 * 1.1 ** i);
const delayed = (size: number, delay: number): Curve =>
  makeCurve({ name: "sound", quantity: "sound pressure", unit: "Pa", frequencies, re: frequencies.map((f) => size * Math.cos(2 * Math.PI * f * delay)), im: frequencies.map((f) => -size * Math.sin(2 * Math.PI * f * delay)), phaseKnown: true });

test("the transfer of a place is the ratio of both pressures: levels and phases are subtracted", () => {
  // 3 times as loud and 2 ms later than in free space, where the sound comes 1 ms late
  const { re, im } = transferBetween(delayed(0.6, 0.003), delayed(0.2, 0.001));
  frequencies.forEach((f, i) => {
    expect(re[i]).toBeCloseTo(3 * Math.cos(2 * Math.PI * f * 0.002), 9);
    expect(im[i]).toBeCloseTo(-3 * Math.sin(2 * Math.PI * f * 0.002), 9);
  });
});
