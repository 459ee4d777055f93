import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { pistonImpedance, pistonMass } from "../../src/acoustics/piston.js";
import { freeSpace, freeTransferImaginary } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";

const rhoC = standardAir.density * standardAir.soundSpeed;
const out = { re: 0, im: 0 };

/** Normalised R, X of a piston of radius `a` at a given k a. */
function normalised(ka: number, solidAngle = 2 * Math.PI): [number, number] {
  const a = 0.1, area = Math.PI * a * a;
  pistonImpedance((ka * standardAir.soundSpeed) / (2 * Math.PI * a), area, solidAngle, standardAir, out);
  return [(out.re * area) / rhoC, (out.im * area) / rhoC];
}

describe("circular piston in an infinite wall", () => {
  const source = "Rayleigh; Beranek & Mellow, Acoustics, 2012, chapter 13: R = 1 - J1(2ka)/(ka), X = H1(2ka)/(ka); values by scipy.special.j1 and struve";
  test.each([
    [0.1, 0.00499167, 0.0846565], [0.2, 0.0198671, 0.167963], [0.3, 0.04433, 0.248599], [0.5, 0.119899, 0.396915], [0.7, 0.225789, 0.520754],
    [1, 0.423275, 0.646764], [1.5, 0.773961, 0.680073], [2, 1.03302, 0.534863], [2.5, 1.13103, 0.323125], [3, 1.09223, 0.159392],
    [3.83171, 0.954731, 0.108486], [4, 0.941341, 0.122029], [5, 0.991305, 0.178366], [6, 1.03724, 0.0973096], [8, 0.9887, 0.102132], [10, 0.993317, 0.0472688],
  ])("ka = %f", (ka, r, x) => {
    const got = normalised(ka);
    expectClose(got[0], r, 1e-5, source);
    expectClose(got[1], x, 1e-5, source);
  });

  test("resistance keeps its digits at very low frequency: (ka)^2 / 2", () => {
    for (const ka of [1e-6, 1e-4, 4e-4, 6e-4, 1e-3, 1e-2]) expectClose(normalised(ka)[0], (ka * ka) / 2 - ka ** 4 / 12, 1e-9, "series of J1 (Abramowitz & Stegun 9.1.10)");
  });

  test("the mass is the low-frequency limit of the reactance", () => {
    for (const angle of [4, 2, 1, 0.5].map((x) => x * Math.PI)) {
      pistonImpedance(0.01, 0.02, angle, standardAir, out);
      expectClose(out.im / (2 * Math.PI * 0.01), pistonMass(0.02, angle, standardAir), 1e-9, "Beranek & Mellow 2012: M = 8 rho / (3 pi^2 a) in a wall");
    }
  });
});

describe("solid angles", () => {
  const source = "Kinsler et al., Fundamentals of Acoustics; R = rho w^2 / (angle c), p = rho w U / (angle r), 50 Hz, 0.01 m^3/s, 1 m";
  test.each([
    ["full", 27.5553, 0.301025, 83.5515], ["half", 55.1106, 0.60205, 89.5721], ["quarter", 110.221, 1.2041, 95.5927], ["eighth", 220.442, 2.4082, 101.613],
  ])("%s space", (name, resistance, pressure, level) => {
    const space = freeSpace(name);
    // a piston so small that only the leading term counts
    pistonImpedance(50, 1e-6, space.solidAngle, standardAir, out);
    expectClose(out.re, resistance, 1e-5, source);
    const p = freeTransferImaginary(space, 50, 1, standardAir) * 0.01;
    expectClose(p, pressure, 1e-5, source);
    expect(Math.abs(20 * Math.log10(p / 20e-6) - level)).toBeLessThan(1e-3);
  });

  test("another name is refused", () => {
    expect(() => freeSpace("sixteenth")).toThrow(/"full", "half", "quarter", "eighth"/);
    expect(() => freeSpace("toString")).toThrow(/is expected/);
  });
});
