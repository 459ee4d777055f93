import { describe, test } from "vitest";
import { phaseOfMagnitude } from "../../src/predict/minimum-phase.js";
import { expectClose } from "../support/close.js";

// tests/published: minimum-phase pairs of closed forms (transfer functions of Small 1972 and of first order), six digits
const source = "closed form of the second-order high-pass, Small, J. Audio Eng. Soc. 20 (1972) 798";
const rows: readonly (readonly [Q: number, ratio: number, degrees: number])[] = [
  [0.5, 0.5, 126.87], [0.5, 1, 90], [0.5, 2, 53.1301],
  [Math.SQRT1_2, 0.5, 136.686], [Math.SQRT1_2, 1, 90], [Math.SQRT1_2, 2, 43.3139],
  [1, 0.5, 146.31], [1, 1, 90], [1, 2, 33.6901],
  [2, 0.5, 161.565], [2, 1, 90], [2, 2, 18.4349],
];

describe("minimum phase from magnitude", () => {
  test.each(rows)("high-pass of Q %s at %s of its frequency: %s degrees", (Q, ratio, wanted) => {
    const { phase } = phaseOfMagnitude((at) => at.map((x) => (x * x) / Math.hypot(1 - x * x, x / Q)), Float64Array.of(0.1, ratio, 10));
    expectClose((phase[1]! * 180) / Math.PI, wanted, 0, source, 0.02);
  });

  test.each([[0.5, -26.5651], [1, -45], [2, -63.4349]] as const)("first-order low-pass at %s of its frequency: %s degrees", (ratio, wanted) => {
    const { phase } = phaseOfMagnitude((at) => at.map((x) => 1 / Math.hypot(1, x)), Float64Array.of(0.1, ratio, 10));
    expectClose((phase[1]! * 180) / Math.PI, wanted, 0, "first-order low-pass, elementary", 0.02);
  });
});
