import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { Flare } from "../../src/acoustics/network.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { chainOf, type Complex, flowRatio, inputImpedance, over, piston, section } from "../support/ducts.js";

const webster = "Webster, Proc. Nat. Acad. Sci. 5 (1919) 275; Salmon, J. Acoust. Soc. Am. 17 (1946) 199; closed forms and numerical integration of Webster's equation agree to 5e-12";
const rhoC = standardAir.density * standardAir.soundSpeed;
const throat = 0.01, mouth = 0.16, length = 1.2;
const hertz = [40, 70, 100, 200, 400];
const shapes: readonly { readonly name: string; readonly flare: Flare; readonly end: number }[] = [
  { name: "cylinder", flare: "uniform", end: throat },
  { name: "cone", flare: "conical", end: mouth },
  { name: "exponential", flare: "exponential", end: mouth },
  { name: "parabolic", flare: "parabolic", end: mouth },
];

// throat impedance in Pa s/m^3 (re, im), throat 100 cm^2, mouth 1600 cm^2, 1.2 m, air 1.2041 kg/m^3 and 343.2 m/s
const matched: Record<string, readonly Complex[]> = {
  cylinder: [[41324.7, 0], [41324.7, 0], [41324.7, 0], [41324.7, 0], [41324.7, 0]],
  cone: [[3286.55, 8352.43], [5474.14, 15579.9], [11913.7, 23402.8], [23822.5, 18516.3], [40119.7, 13709.1]],
  exponential: [[3442.35, 12136.2], [6526.89, 23953.9], [19818.0, 40822.9], [28377.5, 14577.3], [47813.8, 7144.08]],
  parabolic: [[3185.27, 5601.81], [4857.31, 10018.4], [8568.88, 13805.0], [14706.8, 15191.4], [27092.7, 16904.4]],
};
const baffled: Record<string, readonly Complex[]> = {
  cylinder: [[94.4172, 53578.4], [133560, -1449766], [510.004, -47752.8], [38960.4, 274018], [3398.57, -13244.3]],
  cone: [[59.4279, 10313.0], [729.93, 24073.0], [121616, -44525.4], [47351.0, 68472.8], [20067.3, 11150.4]],
  exponential: [[56.5287, 13792.1], [568.723, 31194.1], [48102.5, 141590], [83235.8, 72677.0], [23793.6, 7837.12]],
  parabolic: [[64.3709, 7888.33], [1150.69, 20910.8], [9691.78, -17065.9], [27274.8, 45627.6], [13890.2, 12817.0]],
};
const ratios: Record<string, readonly Complex[]> = {
  cylinder: [[1.63636, -0.00175916], [-35.0303, -3.23022], [-1.52236, -0.0100003], [-6.61045, 0.895356], [-0.994474, -0.0489226]],
  cone: [[1.30097, -0.00793538], [2.61426, -0.134391], [-11.1574, -21.0505], [-6.5693, 4.12494], [-2.53548, -1.58891]],
  exponential: [[1.26885, -0.00578399], [2.3093, -0.0785415], [13.7522, -5.94845], [-7.27521, 7.26928], [-2.84675, -1.5849]],
  parabolic: [[1.35398, -0.0104496], [3.27655, -0.258234], [-6.40425, -2.05415], [-5.08321, 2.96987], [-2.02899, -1.44239]],
};

describe.each(shapes)("finite $name", ({ name, flare, end }) => {
  test.each(hertz.map((f, i) => [f, i] as const))("throat impedance and flow ratio at %f Hz", (f, i) => {
    const chain = chainOf([section(flare, length, throat, end)], f);
    expectComplexClose(inputImpedance(chain, [rhoC / end, 0]), matched[name]![i]!, 1e-5, webster);
    expectComplexClose(inputImpedance(chain, piston(f, end)), baffled[name]![i]!, 2e-5, webster);
    expectComplexClose(flowRatio(chain, piston(f, end)), ratios[name]![i]!, 2e-5, webster);
  });

  test("reciprocal, and the reverse of the reversed flare", () => {
    for (const f of [1, 33, 470, 5000]) {
      const [a, b, c, d] = chainOf([section(flare, length, throat, end)], f);
      const [ra, rb, rc, rd] = chainOf([section(flare, length, end, throat)], f);
      // A D - B C = 1; the reversed flare exchanges A and D
      expectClose(a[0] * d[0] - a[1] * d[1] - (b[0] * c[0] - b[1] * c[1]), 1, 1e-9, "reciprocity of passive two-ports");
      const scale = Math.hypot(...a) + Math.hypot(...d);
      expect(Math.hypot(a[0] - rd[0], a[1] - rd[1]) / scale).toBeLessThan(1e-9);
      expect(Math.hypot(d[0] - ra[0], d[1] - ra[1]) / scale).toBeLessThan(1e-9);
      expectComplexClose(rb, b, 1e-9, "reciprocity");
      expectComplexClose(rc, c, 1e-9, "reciprocity");
    }
  });
});

describe("infinite horns: throat impedance times S / (rho c)", () => {
  // a finite horn ended by the impedance of the endless one at its mouth must show the endless one at its throat
  const k = (f: number): number => (2 * Math.PI * f) / standardAir.soundSpeed;
  const exponential = (f: number): Complex => {
    const u = f / 63.1018;
    return u >= 1 ? [Math.sqrt(1 - 1 / (u * u)), 1 / u] : [0, 1 / u - Math.sqrt(1 / (u * u) - 1)];
  };
  const cone = (f: number, x: number): Complex => over([0, k(f) * x], [1, k(f) * x]);
  test.each([
    [40, [0, 0.357443], [0.0790231, 0.269775]], [70, [0.432875, 0.901454], [0.208092, 0.405943]], [100, [0.775768, 0.631018], [0.349074, 0.476677]],
    [200, [0.948923, 0.315509], [0.682044, 0.465682]], [400, [0.987478, 0.157754], [0.89562, 0.305753]],
  ] as const)("%f Hz", (f, e, c) => {
    const source = "Salmon 1946 (exponential, cut-off 63.1018 Hz); Beranek & Mellow 2012, chapter 9 (cone, apex 0.4 m before the throat)";
    const ending = (z: Complex): Complex => [(z[0] * rhoC) / mouth, (z[1] * rhoC) / mouth];
    const scaled = (z: Complex): Complex => [(z[0] * throat) / rhoC, (z[1] * throat) / rhoC];
    expectComplexClose(scaled(inputImpedance(chainOf([section("exponential", length, throat, mouth)], f), ending(exponential(f)))), e, 1e-5, source);
    expectComplexClose(scaled(inputImpedance(chainOf([section("conical", length, throat, mouth)], f), ending(cone(f, 1.6)))), c, 1e-5, source);
  });
});

describe("resonances of a duct that is closed at one end and has no pressure at the other", () => {
  const source = "elementary: cylinder c(2n-1)/(4L); frustum tan kL = -k x1; exponential tan bL = -2b/m; parabolic J1(k x1) Y0(k x2) = Y1(k x1) J0(k x2)";
  test.each([
    ["uniform", throat, throat, [71.5, 214.5, 357.5]], ["conical", throat, mouth, [111.777, 238.195, 373.456]], ["conical", mouth, throat, [38.4507, 207.062, 353.113]],
    ["exponential", throat, mouth, [116.239, 235.462, 370.696]], ["exponential", mouth, throat, [37.2431, 210.319, 355.019]],
    ["parabolic", throat, mouth, [103.353, 239.221, 377.569]], ["parabolic", mouth, throat, [41.692, 201.556, 348.361]],
  ] as const)("%s from %f to %f m^2", (flare, s1, s2, modes) => {
    // p1 = A p2 + B U2, U1 = C p2 + D U2: U1 = 0 and p2 = 0 where D = 0
    const d = (f: number): number => chainOf([section(flare, length, s1, s2)], f)[3][0];
    const found: number[] = [];
    for (let f = 20; f < 400 && found.length < 3; f += 1) {
      if (d(f) * d(f + 1) > 0) continue;
      let low = f, high = f + 1;
      for (let i = 0; i < 50; i++) {
        const middle = (low + high) / 2;
        if (d(low) * d(middle) <= 0) high = middle;
        else low = middle;
      }
      found.push(low);
    }
    modes.forEach((f, i) => expectClose(found[i]!, f, 2e-6, source, 1e-3));
    expect(found).toHaveLength(3);
  });
});

test("an exponential cut into cones converges with the square of the number of cones", () => {
  const source = "convergence of conical pieces, computed with the closed forms: relative error of the throat impedance at 100 Hz";
  const load = piston(100, mouth);
  const exact = inputImpedance(chainOf([section("exponential", length, throat, mouth)], 100), load);
  for (const [n, error] of [[4, 1.95e-2], [8, 4.57e-3], [16, 1.12e-3], [32, 2.8e-4], [64, 7e-5]] as const) {
    const pieces = Array.from({ length: n }, (_, i) => section("conical", length / n, throat * 16 ** (i / n), throat * 16 ** ((i + 1) / n)));
    const got = inputImpedance(chainOf(pieces, 100), load);
    expectClose(Math.hypot(got[0] - exact[0], got[1] - exact[1]) / Math.hypot(...exact), error, 0.01, source);
  }
});
