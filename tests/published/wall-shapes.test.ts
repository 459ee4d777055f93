import { describe, expect, test } from "vitest";
import { makeAir } from "../../src/air/air.js";
import { ductConstants, wideTube } from "../../src/air/wall-loss.js";
import { rectangleConstants, slitConstants } from "../../src/air/wall-shapes.js";
import { cascadeChain, compileDuct } from "../../src/acoustics/cascade.js";
import { slotLeak, slotResistance } from "../../src/acoustics/leak.js";
import { besselRatio10 } from "../../src/math/bessel.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { section } from "../support/ducts.js";

const air = makeAir({ density: 1.2041, soundSpeed: 343.2, viscosity: 1.813e-5, prandtl: 0.709, heatRatio: 1.4 });
const rhoC = air.density * air.soundSpeed;
const out = new Float64Array(4), other = new Float64Array(4);

function expectConstants(alpha: number, beta: number, zr: number, zi: number, source: string): void {
  expectClose(-out[1]!, alpha, 1e-5, source);
  expectClose(out[0]!, beta, 1e-5, source);
  // three numbers with six digits each
  expectClose(out[2]! / rhoC, zr, 1e-5, source);
  expectClose(out[3]! / rhoC, zi, 2e-5, source);
}

describe("slit", () => {
  const source = "Zwikker & Kosten 1949; Stinson 1991: F(y) = tanh(y)/y";
  test.each([
    // height mm, Hz, alpha Np/m, beta rad/m, Zc S / (rho c)
    [2, 20, 0.094558, 0.424588, 1.04684, -0.11274], [2, 50, 0.127091, 1.01586, 1.0386, -0.058184], [2, 100, 0.170048, 1.97635, 1.02798, -0.0375321], [2, 500, 0.351756, 9.48339, 1.01279, -0.0145369],
    [5, 20, 0.0299753, 0.392276, 1.02516, -0.0326664], [5, 50, 0.045242, 0.956996, 1.01613, -0.0189762], [5, 100, 0.0625083, 1.88975, 1.01145, -0.0128383], [5, 500, 0.135517, 9.28596, 1.00514, -0.00540446],
    [10, 20, 0.0140703, 0.379336, 1.01279, -0.0145369], [10, 50, 0.0217403, 0.936262, 1.00811, -0.00879363], [10, 100, 0.0303919, 1.86031, 1.00574, -0.00607783], [10, 500, 0.0669214, 9.21992, 1.00257, -0.00263557],
    [20, 20, 0.00681824, 0.372758, 1.00642, -0.0068397], [20, 50, 0.0106579, 0.925831, 1.00406, -0.00422829], [20, 100, 0.014986, 1.84554, 1.00287, -0.00295541], [20, 500, 0.0332539, 9.18687, 1.00128, -0.00130129],
  ])("%f mm at %f Hz", (mm, f, alpha, beta, zr, zi) => {
    slitConstants(2 * Math.PI * f, air, mm / 1000, out, 0);
    expectConstants(alpha, beta, zr, zi, source);
  });

  test("keeps its digits where the boundary layers meet", () => {
    for (const height of [1e-6, 1e-5, 1e-4]) {
      slitConstants(2 * Math.PI, air, height, out, 0);
      // Re(j k z) is the pressure gradient per mean speed
      expectClose(-(out[0]! * out[3]! + out[1]! * out[2]!), (12 * air.viscosity) / height ** 2, 1e-4, "Poiseuille flow between plates: 12 mu / h^2");
      // and Im(j k z) the mass that moves in a parabolic profile
      expectClose(out[0]! * out[2]! - out[1]! * out[3]!, 1.2 * 2 * Math.PI * air.density, 1e-3, "mean square of a parabolic profile over its squared mean: 6/5");
    }
  });
});

describe("rectangular duct", () => {
  const source = "Stinson 1991; Roh et al. 1991: double series, one sum in closed form, 4000 terms";
  test.each([
    [50, 50, 20, 0.00534915, 0.37144, 1.00514, -0.00534796], [50, 50, 50, 0.00842191, 0.923743, 1.00325, -0.00333388], [50, 50, 100, 0.011885, 1.84259, 1.0023, -0.00234015], [50, 50, 500, 0.0264999, 9.18026, 1.00103, -0.00103624],
    [100, 20, 20, 0.00814268, 0.37408, 1.0077, -0.00823658], [100, 20, 50, 0.0127506, 0.927921, 1.00487, -0.0050859], [100, 20, 100, 0.0179445, 1.8485, 1.00345, -0.00355256], [100, 20, 500, 0.0398659, 9.19348, 1.00154, -0.00156276],
    [200, 5, 20, 0.0306267, 0.392938, 1.02581, -0.0334981], [200, 5, 50, 0.0462776, 0.958041, 1.01654, -0.0194594], [200, 5, 100, 0.0639768, 1.89123, 1.01174, -0.0131643], [200, 5, 500, 0.138812, 9.28927, 1.00526, -0.00554071],
  ])("%f by %f mm at %f Hz", (w, h, f, alpha, beta, zr, zi) => {
    rectangleConstants(2 * Math.PI * f, air, { width: w / 1000, height: h / 1000 }, out, 0);
    expectConstants(alpha, beta, zr, zi, source);
    // the same through a duct: A = cos k L
    const area = w * h * 1e-6, chain = new Float64Array(8);
    cascadeChain(compileDuct([section("uniform", 0.7, area, area, { kind: "rectangle", depth: h / 1000 })]), 2 * Math.PI * f, air, chain);
    const x = out[0]! * 0.7, y = out[1]! * 0.7;
    expectComplexClose([chain[0]!, chain[1]!], [Math.cos(x) * Math.cosh(y), -Math.sin(x) * Math.sinh(y)], 1e-9, "uniform duct, elementary");
  });

  test("the closed form for wide ducts meets the series", () => {
    // the form in use changes where the short side is 32 boundary layers; both sides of it lie on one smooth curve
    const at = (h: number): number => {
      rectangleConstants(2 * Math.PI * 40, air, { width: 0.1, height: h }, out, 0);
      return -out[1]!;
    };
    for (const layer of [Math.sqrt(air.viscosity / (2 * Math.PI * 40 * air.density)), Math.sqrt(air.viscosity / (2 * Math.PI * 40 * air.density * air.prandtl))]) {
      const h = 32 * layer, d = h * 1e-4;
      expectClose(at(h + d / 2) - at(h - d / 2), (at(h + 1.5 * d) - at(h - 1.5 * d)) / 3, 1e-5, "continuity");
    }
  });

  test("tends to the slit for wide slots, and to laminar flow when narrow", () => {
    rectangleConstants(2 * Math.PI * 50, air, { width: 50, height: 0.002 }, out, 0);
    slitConstants(2 * Math.PI * 50, air, 0.002, other, 0);
    for (let i = 0; i < 4; i++) expectClose(out[i]!, other[i]!, 2e-4, "a slot 25000 times as wide as high");
    rectangleConstants(2 * Math.PI * 0.1, air, { width: 1e-4, height: 1e-4 }, out, 0);
    expectClose(-(out[0]! * out[3]! + out[1]! * out[2]!), (28.4541 * air.viscosity) / 1e-8, 1e-4, "Shah & London, Laminar Flow Forced Convection in Ducts, 1978: f Re = 14.2271 of the square, gradient 2 f Re mu / D^2");
  });

  test("a square and a tube of equal hydraulic radius differ by less than 0.3 % in attenuation, but do differ", () => {
    rectangleConstants(2 * Math.PI * 20, air, { width: 0.05, height: 0.05 }, out, 0);
    ductConstants(2 * Math.PI * 20, air, 0.025, other, 0);
    const apart = Math.abs(out[1]! / other[1]! - 1);
    expect(apart).toBeLessThan(3e-3);
    expect(apart).toBeGreaterThan(1e-3);
  });
});

test("the expansion for wide tubes equals the Bessel functions to 2e-12 where it is used", () => {
  // psi from J1/J0 itself, put through the same formulas
  const ratio = new Float64Array(2);
  const F = (s: number): [number, number] => {
    besselRatio10(s, -s, ratio, 0);
    return [(ratio[0]! - ratio[1]!) / s, (ratio[0]! + ratio[1]!) / s];
  };
  let worst = 0;
  for (const s of [1.01 * wideTube, 1.2 * wideTube, 2 * wideTube, 5 * wideTube, 30 * wideTube]) {
    const omega = 2 * Math.PI * 60, radius = s / Math.sqrt((omega * air.density) / (2 * air.viscosity));
    ductConstants(omega, air, radius, out, 0);
    // (k z) = omega rho / (1 - F): recovers the viscous profile
    const kzr = out[0]! * out[2]! - out[1]! * out[3]!, kzi = out[0]! * out[3]! + out[1]! * out[2]!, kk = kzr * kzr + kzi * kzi;
    const [fr, fi] = F(s);
    worst = Math.max(worst, Math.hypot(1 - (omega * air.density * kzr) / kk - fr, (omega * air.density * kzi) / kk - fi));
  }
  expect(worst).toBeLessThan(2e-12);
});

describe("slot leak", () => {
  const leak = { name: "panel gap", node: "box", width: 0.3, height: 0.0004, depth: 0.018 };

  test("is the resistance of steady flow at low frequency, and more at higher ones", () => {
    const [duct] = slotLeak(leak);
    if (duct?.kind !== "duct") throw new Error("no duct");
    const resistance = slotResistance(leak, air);
    expectClose(resistance, (12 * 1.813e-5 * 0.018) / (0.3 * 0.0004 ** 3), 1e-12, "Poiseuille flow between plates: 12 mu L / (w h^3)");
    const chain = new Float64Array(8);
    const seriesAt = (f: number): [number, number] => {
      cascadeChain(compileDuct(duct.sections), 2 * Math.PI * f, air, chain);
      return [chain[2]!, chain[3]!];
    };
    expectComplexClose(seriesAt(0.1), [resistance, 2 * Math.PI * 0.1 * 1.2 * air.density * 0.018 / (0.3 * 0.0004)], 1e-4, "plates: 12 mu L/(w h^3) + j w 1.2 rho L/(w h)");
    expect(seriesAt(200)[1]).toBeGreaterThan(0.5 * resistance);
  });

  test("refuses what is no gap", () => {
    expect(() => slotLeak({ ...leak, height: 0 })).toThrow(/panel gap".height/);
    expect(() => slotLeak({ ...leak, height: 1 })).toThrow(/wider than high/);
  });
});
