import { describe, expect, test } from "vitest";
import { responseInTime } from "../../src/predict/impulse.js";
import { expectClose } from "../support/close.js";

// lowest value of the unit step response of the second-order high-pass, six digits
const source = "closed form of the step response of G(s), Small, J. Audio Eng. Soc. 20 (1972) 798";
const rows: readonly (readonly [Q: number, undershoot: number])[] = [
  [0.5, -0.135335], [0.57735, -0.163034], [0.6, -0.171031], [Math.SQRT1_2, -0.20788], [0.8, -0.238303], [0.9, -0.269297],
  [1, -0.298436], [1.1, -0.32576], [1.2, -0.35135], [1.5, -0.418776], [2, -0.506277],
];

describe("undershoot of the step response of a closed box", () => {
  test.each(rows)("Q %s: %s", (Q, undershoot) => {
    const evaluate = (at: Float64Array): { re: Float64Array; im: Float64Array } => {
      const re = new Float64Array(at.length), im = new Float64Array(at.length);
      at.forEach((f, i) => {
        const x = f / 10, dr = 1 - x * x, di = x / Q, q = dr * dr + di * di;
        re[i] = (-x * x * dr) / q;
        im[i] = (x * x * di) / q;
      });
      return { re, im };
    };
    const { step, time } = responseInTime(evaluate, { top: 1000, duration: 1 });
    const settled = step.filter((_, i) => time[i]! > 0.004);
    expectClose(settled.reduce((a, b) => Math.min(a, b)), undershoot, 0, source, 2e-5);
    expect(settled[0]!).toBeGreaterThan(0);
  });
});
