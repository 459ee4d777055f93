import { describe, test } from "vitest";
import { makeAir } from "../../src/air/air.js";
import { ductConstants } from "../../src/air/wall-loss.js";
import { cascadeChain, compileDuct } from "../../src/acoustics/cascade.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { over, section, type Complex } from "../support/ducts.js";

const air = makeAir({ density: 1.2041, soundSpeed: 343.2, viscosity: 1.813e-5, prandtl: 0.709, heatRatio: 1.4 });
const source = "Zwikker & Kosten, Sound Absorbing Materials, 1949; Stinson, J. Acoust. Soc. Am. 89 (1991) 550; values by scipy's Bessel functions";
const out = new Float64Array(4);

describe("round tube with viscous and thermal loss", () => {
  test.each([
    // radius mm, Hz, alpha Np/m, beta rad/m, Zc S / (rho c) re, im
    [5, 20, 0.0284259, 0.392498, 1.02558, -0.0312908], [5, 50, 0.043757, 0.957128, 1.01622, -0.0184748], [5, 100, 0.0610558, 1.88984, 1.01148, -0.0125996], [5, 500, 0.134109, 9.286, 1.00514, -0.00536001],
    [10, 20, 0.0137048, 0.379361, 1.01283, -0.0142343], [10, 50, 0.021383, 0.936277, 1.00812, -0.00867865], [10, 500, 0.0665738, 9.21992, 1.00257, -0.0026248],
    [25, 20, 0.00536436, 0.37144, 1.00514, -0.00536001], [25, 50, 0.00843705, 0.923743, 1.00325, -0.00333861], [25, 100, 0.0119001, 1.84259, 1.0023, -0.00234249], [25, 500, 0.026515, 9.18026, 1.00103, -0.00103671],
    [50, 20, 0.00266295, 0.368797, 1.00257, -0.0026248], [50, 50, 0.0041994, 0.919563, 1.00163, -0.00164727], [50, 100, 0.00593095, 1.83668, 1.00115, -0.00116024], [50, 500, 0.0132385, 9.16704, 1.00051, -0.000516155],
  ])("radius %f mm at %f Hz", (mm, f, alpha, beta, zr, zi) => {
    ductConstants(2 * Math.PI * f, air, mm / 1000, out, 0);
    expectClose(-out[1]!, alpha, 1e-5, source);
    expectClose(out[0]!, beta, 1e-5, source);
    const rhoC = air.density * air.soundSpeed;
    expectClose(out[2]! / rhoC, zr, 1e-5, source);
    expectClose(out[3]! / rhoC, zi, 2e-5, source);
  });

  test("narrow tubes, where the boundary layers meet, tend to viscous flow: resistance 8 mu / a^2", () => {
    // Poiseuille: pressure gradient per mean speed is 8 mu / a^2 = Re(j k z)
    const radius = 1e-4;
    ductConstants(2 * Math.PI, air, radius, out, 0);
    const gradient = -(out[0]! * out[3]! + out[1]! * out[2]!);
    expectClose(gradient, (8 * air.viscosity) / radius ** 2, 1e-3, "Poiseuille's law");
  });
});

describe("rigidly closed lossy tube, radius 25 mm, 1.5 m", () => {
  test.each([[50, 0.0125162, -0.18795], [57.2, 0.0136126, 0.0134101]])("%f Hz", (f, re, im) => {
    const chain = new Float64Array(8), area = Math.PI * 0.025 ** 2;
    cascadeChain(compileDuct([section("uniform", 1.5, area, area, { kind: "round" })]), 2 * Math.PI * f, air, chain);
    // closed end: U2 = 0, so Z = A / C
    const z = over([chain[0]!, chain[1]!], [chain[4]!, chain[5]!]);
    const scale = area / (air.density * air.soundSpeed);
    const wanted: Complex = [re, im];
    expectComplexClose([z[0] * scale, z[1] * scale], wanted, 2e-5, `${source}; Z = Zc coth(Gamma L)`);
  });
});
