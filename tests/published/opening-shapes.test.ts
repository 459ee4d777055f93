import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { networkWithDriver, checkNetwork } from "../../src/acoustics/network.js";
import { openingImpedance, openingMass } from "../../src/acoustics/opening-impedance.js";
import type { OpeningShape } from "../../src/acoustics/opening-shape.js";
import { rectangularEndCorrection, rectangularPiston } from "../../src/acoustics/rectangular-piston.js";
import { unflangedImpedance } from "../../src/acoustics/unflanged.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { driverA } from "../support/drivers.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { levineSchwinger } from "../support/levine-schwinger.js";

const out = { re: 0, im: 0 };
const rhoC = standardAir.density * standardAir.soundSpeed;

describe("end of a thin pipe without flange", () => {
  const source = "Levine & Schwinger, Phys. Rev. 73 (1948) 383: quadrature of their integrals with scipy, printed to six digits";
  test.each([
    [0.001, 2.49999e-7, 0.000612701], [0.1, 0.002482, 0.0611745], [0.2, 0.00980672, 0.121862], [0.3, 0.021795, 0.181765], [0.5, 0.0594863, 0.29844], [0.7, 0.115947, 0.409409],
    [1, 0.238279, 0.557507], [1.5, 0.532346, 0.70291], [2, 0.836022, 0.65454], [2.5, 1.00574, 0.480917], [3, 1.03976, 0.316058], [3.5, 1.00474, 0.203176], [3.8, 0.948419, 0.142918],
  ])("ka = %f", (ka, re, im) => {
    unflangedImpedance(ka, out);
    // the table of what goes on between ka = 0 and 0.05 is good to 1.2e-5
    expectClose(out.re, re, 2e-5, source);
    expectClose(out.im, im, 2e-5, source);
  });

  test("between its entries the table is as good as said", () => {
    const worst = { low: 0, high: 0 };
    for (let ka = 0.0125; ka < 3.8; ka += 0.113) {
      const { loss, correction } = levineSchwinger(ka), a = (loss * ka * ka) / 2, b = ka * correction, d = Math.cosh(2 * a) + Math.cos(2 * b);
      unflangedImpedance(ka, out);
      const off = Math.hypot(out.re - Math.sinh(2 * a) / d, out.im - Math.sin(2 * b) / d) / Math.hypot(Math.sinh(2 * a) / d, Math.sin(2 * b) / d);
      if (ka < 3.75) worst.low = Math.max(worst.low, off);
      else worst.high = Math.max(worst.high, off);
    }
    const { loss, correction } = levineSchwinger(3.79), a = (loss * 3.79 * 3.79) / 2, b = 3.79 * correction, d = Math.cosh(2 * a) + Math.cos(2 * b);
    unflangedImpedance(3.79, out);
    worst.high = Math.max(worst.high, Math.hypot(out.re - Math.sinh(2 * a) / d, out.im - Math.sin(2 * b) / d));
    console.log(`table of the unflanged end: off by at most ${worst.low.toExponential(1)} up to ka 3.75, ${worst.high.toExponential(1)} beyond`);
    expect(worst.low).toBeLessThan(1e-4);
    expect(worst.high).toBeLessThan(1e-3);
  });

  test("goes on smoothly beyond the theory and tends to rho c", () => {
    for (const ka of [3.8, 3.9, 4.5, 6, 9, 40, 1e4]) {
      unflangedImpedance(ka, out);
      expect(out.re).toBeGreaterThan(0.9);
      expect(Math.abs(out.re - 1)).toBeLessThan(0.1);
      expect(Math.abs(out.im)).toBeLessThan(0.2);
    }
    unflangedImpedance(60, out);
    expect(Math.hypot(out.re - 1, out.im)).toBeLessThan(1e-6);
  });
});

describe("rectangular piston in a wall", () => {
  test.each([[1, 0.473201, 0.838727], [1.5, 0.468519, 0.830429], [2, 0.459762, 0.814907], [3, 0.440744, 0.781199], [4, 0.423381, 0.750423], [6, 0.394956, 0.700042], [10, 0.355188, 0.629555], [20, 0.299328, 0.530544]])(
    "end correction at %f : 1", (ratio, overRoot, overRadius) => {
      const source = "mean of 1/r over both places, closed form; values computed apart from this code";
      const h = 0.3, b = h / ratio, area = b * h;
      expectClose(rectangularEndCorrection(b, h) / Math.sqrt(area), overRoot, 2e-6, source);
      expectClose(rectangularEndCorrection(h, b) / Math.sqrt(area / Math.PI), overRadius, 2e-6, source);
    },
  );

  test.each([
    [0.2, [0.00635207, 0.0943088], [0.00634854, 0.0915909], [0.00633623, 0.0842235]],
    [0.5, [0.03924, 0.231464], [0.0391049, 0.224294], [0.0386375, 0.204763]],
    [1, [0.150559, 0.433271], [0.14854, 0.416768], [0.141786, 0.371846]],
    [2, [0.510117, 0.661331], [0.485734, 0.623925], [0.414461, 0.532951]],
    [4, [1.07097, 0.412448], [0.968025, 0.452426], [0.783227, 0.536456]],
    [6, [0.988703, 0.123226], [1.04368, 0.242485], [1.01732, 0.384679]],
  ] as const)("R + jX at k sqrt(S) = %f for 1:1, 2:1, 4:1", (x, ...wanted) => {
    wanted.forEach((z, i) => {
      const ratio = 2 ** i, h = 0.2, b = h * ratio;
      rectangularPiston(x / Math.sqrt(b * h), b, h, out);
      expectComplexClose([out.re, out.im], z, 5e-6, "Rayleigh's integral by two-dimensional quadrature, 400 points");
      const { re, im } = out;
      rectangularPiston(x / Math.sqrt(b * h), h, b, out);
      expectComplexClose([out.re, out.im], [re, im], 1e-9, "turned by a right angle");
    });
  });

  test("slender slots and high frequencies: converged, resistance k^2 S / (2 pi) at the low end, 1 at the high end", () => {
    for (const [b, h] of [[0.3, 0.0004], [1, 0.02], [0.1, 0.1]] as const) {
      rectangularPiston(1e-3, b, h, out);
      expectClose(out.re, (1e-6 * b * h) / (2 * Math.PI), 1e-6, "low-frequency limit, elementary");
      expectClose(out.im, 1e-3 * rectangularEndCorrection(b, h), 1e-6, "low-frequency limit");
    }
    // Rayleigh's integral as a plain double sum over difference coordinates, midpoints; the static part, which is singular, in closed form
    const b = 0.4, h = 0.05, k = 30, n = 1500, m = 400;
    let re = 0, im = 0;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < m; j++) {
        const u = ((i + 0.5) * b) / n, v = ((j + 0.5) * h) / m, r = Math.hypot(u, v), w = ((b - u) * (h - v)) / r;
        re += w * Math.sin(k * r);
        im += w * (Math.cos(k * r) - 1);
      }
    }
    const scale = ((2 * k) / (Math.PI * b * h)) * ((b * h) / (n * m));
    rectangularPiston(k, b, h, out);
    expectClose(out.re, scale * re, 1e-4, "Rayleigh's integral by midpoints");
    expectClose(out.im, scale * im + k * rectangularEndCorrection(b, h), 1e-4, "Rayleigh's integral by midpoints");
    rectangularPiston(4000, 0.4, 0.3, out);
    expectComplexClose([out.re, out.im], [1, 0], 5e-3, "plane waves at high frequency");
  });
});

describe("openings by shape in a solid angle", () => {
  const shapes: readonly OpeningShape[] = [{ kind: "round" }, { kind: "rectangle", width: 0.25, height: 0.04 }, { kind: "unflanged" }];
  const opening = (shape: OpeningShape): { readonly area: number; readonly shape: OpeningShape } => ({ area: 0.01, shape });

  test("every shape has the resistance rho w^2 / (angle c) and the mass of its low-frequency reactance", () => {
    for (const shape of shapes) {
      for (const angle of [4, 2, 1, 0.5].map((x) => x * Math.PI)) {
        const omega = 2 * Math.PI * 0.5;
        openingImpedance(opening(shape), 0.5, angle, standardAir, out);
        expectClose(out.re, (standardAir.density * omega ** 2) / (angle * standardAir.soundSpeed), 1e-4, "Kinsler et al., Fundamentals of Acoustics");
        expectClose(out.im / omega, openingMass(opening(shape), angle, standardAir), 1e-4, "mass is the limit of reactance over w");
      }
    }
  });

  test("in their own solid angle they are the tables themselves", () => {
    const ka = 1, a = Math.sqrt(0.01 / Math.PI), f = (ka * standardAir.soundSpeed) / (2 * Math.PI * a);
    openingImpedance(opening({ kind: "unflanged" }), f, 4 * Math.PI, standardAir, out);
    expectComplexClose([(out.re * 0.01) / rhoC, (out.im * 0.01) / rhoC], [0.238279, 0.557507], 1e-5, "Levine & Schwinger 1948");
    openingImpedance(opening({ kind: "rectangle", width: 0.2, height: 0.05 }), (standardAir.soundSpeed / (2 * Math.PI)) * 10, 2 * Math.PI, standardAir, out);
    expectComplexClose([(out.re * 0.01) / rhoC, (out.im * 0.01) / rhoC], [0.141786, 0.371846], 1e-5, "Rayleigh's integral, 4:1 at k sqrt(S) = 1");
  });

  test("the space asks for the shape", () => {
    const at = (shape: OpeningShape | undefined): number => freeRadiation(freeSpace("half"), [{ kind: "opening", name: "mouth", node: "m", area: 0.01, load: { kind: "space" }, massInDriver: false, ...(shape === undefined ? {} : { shape }) }], Float64Array.of(60), standardAir).im[0]!;
    expect(at(undefined)).toBe(at({ kind: "round" }));
    expect(at({ kind: "rectangle", width: 0.25, height: 0.04 })).toBeLessThan(0.97 * at({ kind: "round" }));
  });

  test("a rectangle whose sides are not its area is refused", () => {
    const build = (width: number): void => checkNetwork(networkWithDriver([
      { kind: "opening", name: "cone", node: "front", area: 0.033, load: { kind: "space" }, massInDriver: true },
      { kind: "opening", name: "slot", node: "back", area: 0.01, load: { kind: "space" }, massInDriver: false, shape: { kind: "rectangle", width, height: 0.05 } },
    ], driverA, "front", "back"));
    expect(() => build(0.2)).not.toThrow();
    expect(() => build(0.3)).toThrow(/opening "slot": a rectangle of 0.3 m by 0.05 m/);
    expect(() => build(NaN)).toThrow(/opening "slot"/);
  });
});
