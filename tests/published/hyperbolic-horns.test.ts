import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { catenoidalCurvature } from "../../src/acoustics/flares/catenoidal.js";
import { hyperbolicCurvature } from "../../src/acoustics/flares/hyperbolic.js";
import type { DuctSection } from "../../src/acoustics/network.js";
import { makePath, pathVolume, sectionsBetween } from "../../src/acoustics/path.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { chainOf, type Complex, flowRatio, inputImpedance, over, piston, section } from "../support/ducts.js";

const webster = "Webster 1919; Salmon, J. Acoust. Soc. Am. 17 (1946) 199, 212; closed forms and numerical integration of Webster's equation agree to 5e-12";
const rhoC = standardAir.density * standardAir.soundSpeed;
const throat = 0.01, mouth = 0.16, length = 1.2;
const hertz = [40, 70, 100, 200, 400];

/** Shape T, x0 in m, cut-off in Hz, then per frequency: matched throat impedance, baffled throat impedance (Pa s/m^3), flow ratio, endless horn over rho c / S. */
const horns = [
  {
    name: "catenoidal", T: 0, x0: 0.581554, cutOff: 93.9242,
    matched: [[3549.55, 17662.3], [7386.82, 36868.1], [30898.5, 75020.1], [29243.6, 5774.91], [53590.5, -530.572]],
    baffled: [[54.958, 19086.6], [499.474, 43188.9], [18159.3, 154299], [105491, 56028.9], [26824.5, 3108.1]],
    ratios: [[1.2511, -0.00437237], [2.16477, -0.0521051], [9.0699, -1.57819], [-6.61998, 9.49882], [-3.08024, -1.57489]],
    endless: [[0, 0.470694], [0, 1.11778], [2.91327, 0], [1.13267, 0], [1.02876, 0]],
  },
  {
    name: "hyperbolic with T = 0.6", T: 0.6, x0: 0.750336, cutOff: 72.7967,
    matched: [[3476.27, 13528.9], [6787.67, 27144.7], [22637.9, 48541.1], [29155.6, 12546], [49713.5, 4926.26]],
    baffled: [[55.9417, 15109.4], [541.516, 34076.1], [31968.6, 139254], [92989.8, 69589.7], [24768.8, 6587.85]],
    ratios: [[1.26225, -0.00530995], [2.25364, -0.0688589], [11.68, -3.57546], [-7.18319, 8.1589], [-2.92451, -1.58056]],
    endless: [[0, 0.382774], [0, 1.09955], [1.03748, 0.660947], [1.0177, 0.238623], [1.00459, 0.11156]],
  },
] as const;

const hyperbolic = (T: number, s1 = throat, s2 = mouth, l = length): DuctSection => ({ ...section("hyperbolic", l, s1, s2), curvature: hyperbolicCurvature(T, s1, s2, l) });

describe.each(horns)("$name", ({ T, x0, cutOff, matched, baffled, ratios, endless }) => {
  test("x0 and cut-off", () => {
    const curvature = hyperbolicCurvature(T, throat, mouth, length);
    expectClose(1 / curvature, x0, 2e-6, webster);
    expectClose((standardAir.soundSpeed * curvature) / (2 * Math.PI), cutOff, 2e-6, webster);
  });

  test.each(hertz.map((f, i) => [f, i] as const))("throat impedance and flow ratio at %f Hz", (f, i) => {
    const chain = chainOf([hyperbolic(T)], f);
    expectComplexClose(inputImpedance(chain, [rhoC / mouth, 0]), matched[i]!, 1e-5, webster);
    expectComplexClose(inputImpedance(chain, piston(f, mouth)), baffled[i]!, 2e-5, webster);
    expectComplexClose(flowRatio(chain, piston(f, mouth)), ratios[i]!, 2e-5, webster);
  });

  test.each(hertz.map((f, i) => [f, i] as const))("endless horn at %f Hz: ended by its own impedance it shows the closed form at its throat", (f, i) => {
    // at any place y' / y = G / x0; p = e^(-jbx)/y gives Z = (rho c / S) jk / (jb + G / x0) with b -> -j |b| below cut-off
    const k = (2 * Math.PI * f) / standardAir.soundSpeed, kc = hyperbolicCurvature(T, throat, mouth, length), a = kc * length;
    const b: Complex = k >= kc ? [Math.sqrt(k * k - kc * kc), 0] : [0, -Math.sqrt(kc * kc - k * k)];
    const G = (Math.sinh(a) + T * Math.cosh(a)) / (Math.cosh(a) + T * Math.sinh(a));
    const end = over([0, k], [-b[1] + G * kc, b[0]]);
    const z = inputImpedance(chainOf([hyperbolic(T)], f), [(end[0] * rhoC) / mouth, (end[1] * rhoC) / mouth]);
    expectComplexClose([(z[0] * throat) / rhoC, (z[1] * throat) / rhoC], endless[i]!, 1e-5, webster);
  });
});

describe("the hyperbolic family", () => {
  const source = "Salmon 1946: members of the family";
  test("T = 1 is the exponential, a large T the cone, T = 0 the catenoidal flare", () => {
    for (const f of [20, 63.1018, 150, 900]) {
      const [e, h] = [section("exponential", length, throat, mouth), hyperbolic(1)].map((s) => chainOf([s], f));
      const [c, g] = [section("conical", length, throat, mouth), hyperbolic(1e6)].map((s) => chainOf([s], f));
      for (let i = 0; i < 4; i++) {
        expectComplexClose(h![i]!, e![i]!, 1e-9, source);
        expectComplexClose(g![i]!, c![i]!, 1e-5, source);
      }
    }
    expectClose(catenoidalCurvature(throat, mouth, length), hyperbolicCurvature(0, throat, mouth, length), 1e-14, source);
    expectClose(catenoidalCurvature(throat, mouth, length), Math.acosh(4) / length, 1e-14, source);
  });

  test("a tapering flare is the growing one turned round, equal areas are a tube", () => {
    for (const f of [30, 93.9, 400]) {
      const [a, b, c, d] = chainOf([hyperbolic(0.3)], f), [ra, rb, rc, rd] = chainOf([hyperbolic(0.3, mouth, throat)], f);
      expectComplexClose(rd, a, 1e-9, "reciprocity");
      expectComplexClose(ra, d, 1e-9, "reciprocity");
      expectComplexClose(rb, b, 1e-9, "reciprocity");
      expectComplexClose(rc, c, 1e-9, "reciprocity");
      const tube = chainOf([hyperbolic(0.3, throat, throat)], f), plain = chainOf([section("uniform", length, throat, throat)], f);
      for (let i = 0; i < 4; i++) expectComplexClose(tube[i]!, plain[i]!, 1e-12, "elementary");
    }
  });

  test("as a path: cut anywhere it is the same horn, and its volume is that of its profile", () => {
    for (const T of [0, 0.6, 7]) {
      const path = makePath({ stations: [{ at: 0, area: throat, flare: "hyperbolic", shape: T }, { at: length, area: mouth, flare: "conical" }], crossSection: { kind: "round" }, wallLoss: false });
      for (const f of [25, 170, 480]) {
        const whole = chainOf(sectionsBetween(path, 0, length), f);
        const cut = chainOf([...sectionsBetween(path, 0, 0.31), ...sectionsBetween(path, 0.31, 0.9), ...sectionsBetween(path, 0.9, length)], f);
        for (let i = 0; i < 4; i++) expectComplexClose(cut[i]!, whole[i]!, 1e-10, "cutting a duct changes nothing");
      }
      // Simpson's rule over y^2
      const kc = hyperbolicCurvature(T, throat, mouth, length), n = 2000;
      let sum = 0;
      for (let i = 0; i <= n; i++) {
        const x = (i * length * kc) / n, y = Math.cosh(x) + T * Math.sinh(x);
        sum += (i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2) * throat * y * y;
      }
      expectClose(pathVolume(path), (sum * length) / n / 3, 1e-9, "Simpson's rule");
    }
  });

  test("a path refuses a hyperbolic flare without shape, and a shape without it", () => {
    const build = (stations: object[]): unknown => makePath({ stations: [...stations, { at: 1, area: 0.02, flare: "conical" }] as never, crossSection: { kind: "round" }, wallLoss: false });
    expect(() => build([{ at: 0, area: 0.01, flare: "hyperbolic" }])).toThrow(/stations\[0\]\.shape/);
    expect(() => build([{ at: 0, area: 0.01, flare: "hyperbolic", shape: -0.1 }])).toThrow(/stations\[0\]\.shape/);
    expect(() => build([{ at: 0, area: 0.01, flare: "conical", shape: 0 }])).toThrow(/stations\[0\]\.shape/);
  });
});
