import { describe, expect, test } from "vitest";
import { makeCurve } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { nearField, nearnessLoss } from "../../src/measure/near-field.js";
import { expectClose, expectComplexClose } from "../support/close.js";

const keele = "Keele, J. Audio Eng. Soc. 22 (1974) 154";
const piston = "on-axis pressure of a baffled piston, closed form: Kinsler et al., Fundamentals of Acoustics, 4th ed., 7.4";
const air = { density: 1.2041, soundSpeed: 343.2, viscosity: 1.813e-5, prandtl: 0.709, heatRatio: 1.4 };
const dB = (x: number): number => 20 * Math.log10(x);

/** On-axis pressure in Pa of a piston of radius a in a baffle with velocity u: rho c u (e^{-jkz} - e^{-jk sqrt(z^2 + a^2)}); the travel time to `from` taken out. */
function pistonPressure(f: number, a: number, z: number, u: number): [number, number] {
  const k = (2 * Math.PI * f) / air.soundSpeed, d = Math.hypot(z, a), q = air.density * air.soundSpeed * u;
  // relative to e^{-jkz}
  return [q * (1 - Math.cos(k * (d - z))), q * Math.sin(k * (d - z))];
}

const grid = logGrid(5, 2000, 120);
const curveOf = (value: (f: number) => [number, number], name = "near"): Curve =>
  makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies: grid, re: grid.map((f) => value(f)[0]), im: grid.map((f) => value(f)[1]), phaseKnown: true });
const half = 2 * Math.PI;

describe("far field from near field", () => {
  test.each([[0.1, 1, -26.0206], [0.0837, 1, -27.5661], [0.12, 2, -30.4576]] as const)("radius %s m at %s m: %s dB", (a, distance, wanted) => {
    const { factors } = nearField([{ curve: curveOf(() => [1, 0]), area: Math.PI * a * a }], { distance, solidAngle: half, air });
    expectClose(dB(factors[0]!), wanted, 0, keele, 1e-4);
    const full = nearField([{ curve: curveOf(() => [1, 0]), area: Math.PI * a * a }], { distance, solidAngle: 4 * Math.PI, air });
    expectClose(dB(full.factors[0]!), wanted - 6.0206, 0, `${keele}: 6.02 dB less into a full space`, 1e-4);
  });

  test.each([[0.05, -0.434114], [0.11, -0.953531], [0.2, -1.7258]] as const)("microphone at %s radii: %s dB", (ratio, wanted) => {
    expectClose(dB(nearnessLoss(ratio)), wanted, 0, piston, 1e-5);
  });

  test("is the exact far field of a piston within the error that ka has, and says where ka is 1", () => {
    const a = 0.1, u = 0.01, distance = 40;
    const { curve, validTo, trusted } = nearField([{ curve: curveOf((f) => pistonPressure(f, a, 0, u)), area: Math.PI * a * a }], { distance, solidAngle: half, air });
    expectClose(validTo, 546.22, 1e-5, `${keele}: ka = 1 at c/(2 pi a)`);
    grid.forEach((f, i) => {
      const ka = (2 * Math.PI * f * a) / air.soundSpeed, exact = Math.hypot(...pistonPressure(f, a, distance, u));
      const size = Math.hypot(curve.re[i]!, curve.im[i]!);
      // only the near side has ka in its error: sin(ka/2)/(ka/2)
      if (ka < 3) expectClose(dB(size / exact), dB(Math.sin(ka / 2) / (ka / 2)), 0, piston, 2e-4);
      expect(trusted[i]).toBe(ka <= 1 ? 1 : 0);
    });
    expectClose(dB(Math.sin(0.5) / 0.5), -0.364977, 0, `${piston}: ka = 1`, 1e-5);
  });

  test("takes off what a microphone loses a little away", () => {
    const a = 0.1, z = 0.011;
    const near = nearField([{ curve: curveOf((f) => pistonPressure(f, a, z, 0.01)), area: Math.PI * a * a, microphone: z }], { distance: 1, solidAngle: half, air });
    const exact = nearField([{ curve: curveOf((f) => pistonPressure(f, a, 0, 0.01)), area: Math.PI * a * a }], { distance: 1, solidAngle: half, air });
    expectClose(dB(near.curve.im[0]! / exact.curve.im[0]!), 0, 0, piston, 1e-3);
  });

  test("a port beside a cone weighs like the root of its area, with its phase", () => {
    const Sd = 0.022, Sp = (Math.PI / 4) * 0.1 ** 2;
    const cone = curveOf((f) => [Math.cos(f / 50), Math.sin(f / 50)], "cone"), port = curveOf((f) => [-3 * Math.cos(f / 30), 2 * Math.sin(f / 40)], "port");
    const { curve, factors, parts } = nearField([{ curve: cone, area: Sd }, { curve: port, area: Sp }], { distance: 1, solidAngle: half, air });
    expectClose(dB(factors[1]! / factors[0]!), -4.47333, 0, `${keele}: sqrt(Sp/Sd)`, 1e-5);
    const scale = Math.sqrt(Sd / Math.PI) / 2, ratio = Math.sqrt(Sp / Sd);
    grid.forEach((_, i) => {
      expectComplexClose([curve.re[i]!, curve.im[i]!], [scale * (cone.re[i]! + ratio * port.re[i]!), scale * (cone.im[i]! + ratio * port.im[i]!)], 1e-12, keele);
      expect(parts[0]!.re[i]! + parts[1]!.re[i]!).toBeCloseTo(curve.re[i]!, 14);
    });
  });

  test("volume velocities add: cone and two ports that move the same air as one cone sound like it", () => {
    // near pressure j rho omega U / (pi a) of each, far pressure j rho omega (sum of U) / (2 pi d)
    const near = (U: number, S: number) => (f: number): [number, number] => [0, (air.density * 2 * Math.PI * f * U) / (Math.PI * Math.sqrt(S / Math.PI))];
    const { curve } = nearField([{ curve: curveOf(near(3e-3, 0.02), "cone"), area: 0.02 }, { curve: curveOf(near(1e-3, 0.004), "port"), area: 0.004, count: 2 }], { distance: 2, solidAngle: half, air });
    grid.forEach((f, i) => expectClose(curve.im[i]!, (air.density * f * 5e-3) / 2, 1e-12, `${keele}; monopole in a half space`));
  });

  test("refuses what does not go together", () => {
    const bare = makeCurve({ ...curveOf(() => [1, 0]), phaseKnown: false });
    const options = { distance: 1, solidAngle: half };
    expect(() => nearField([], options)).toThrow(/no radiator/);
    expect(() => nearField([{ curve: bare, area: 0.01 }, { curve: bare, area: 0.01 }], options)).toThrow(/without phase/);
    expect(() => nearField([{ curve: makeCurve({ ...bare, unit: "ohm", quantity: "electrical impedance" }), area: 0.01 }], options)).toThrow(/a sound pressure is expected/);
    expect(() => nearField([{ curve: bare, area: -1 }], options)).toThrow(/-1 m\^2/);
    expect(() => nearField([{ curve: bare, area: 0.01, microphone: 1 }], options)).toThrow(/a microphone 1 m away/);
    expect(() => nearField([{ curve: bare, area: 0.01, count: 0 }], options)).toThrow(/whole number/);
    expect(() => nearField([{ curve: bare, area: 0.01 }], { distance: 0, solidAngle: half })).toThrow(/distance/);
    expect(() => nearField([{ curve: bare, area: 0.01 }], { distance: 1, solidAngle: 20 })).toThrow(/solid angle/);
    expect(nearField([{ curve: bare, area: 0.5 }], { distance: 0.5, solidAngle: half }).notes.some(({ severity, text }) => severity === "warning" && text.includes("not far"))).toBe(true);
  });
});
