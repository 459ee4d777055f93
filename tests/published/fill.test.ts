import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { cascadeChain, compileDuct } from "../../src/acoustics/cascade.js";
import { fillConstants, fillRange, passiveFrom } from "../../src/acoustics/fill.js";
import { fillNotes } from "../../src/acoustics/fill-notes.js";
import { type Fill, type NetworkElement, networkWithDriver } from "../../src/acoustics/network.js";
import { driverA } from "../support/drivers.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { over, type Complex } from "../support/ducts.js";

const source = "Delany & Bazley, Appl. Acoust. 3 (1970) 105; Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19; coefficients from memory, values computed apart from this code";
const rhoC = standardAir.density * standardAir.soundSpeed;
const out = new Float64Array(4);

describe("wave number and impedance", () => {
  test.each<[number, number, Complex, Complex, Complex, Complex]>([
    // flow resistivity, Hz, Delany-Bazley Zc/(rho c) and Gamma in 1/m, the same of Miki
    [2000, 50, [1.80125, -1.13027], [1.3909, 1.95511], [1.71922, -1.10238], [1.42877, 1.89336]],
    [2000, 100, [1.47511, -0.6805], [1.84168, 3.11082], [1.4641, -0.711342], [1.86189, 3.10521]],
    [2000, 250, [1.23809, -0.347965], [2.66919, 6.26195], [1.26009, -0.39864], [2.64221, 6.38547]],
    [2000, 500, [1.14118, -0.209499], [3.53424, 11.2284], [1.16783, -0.257235], [3.44319, 11.5106]],
    [2000, 1000, [1.08371, -0.126133], [4.67965, 20.8617], [1.1083, -0.165989], [4.48699, 21.3789]],
    [5000, 50, [2.59888, -2.21042], [2.39922, 2.88998], [2.2834, -1.96711], [2.51703, 2.63826]],
    [5000, 100, [1.94807, -1.33082], [3.17678, 4.26177], [1.82816, -1.26934], [3.28006, 4.07592]],
    [5000, 250, [1.47511, -0.6805], [4.60419, 7.77705], [1.4641, -0.711342], [4.65473, 7.76302]],
    [5000, 500, [1.28172, -0.409708], [6.09635, 13.0937], [1.29948, -0.459016], [6.0658, 13.3058]],
    [5000, 1000, [1.16705, -0.246672], [8.07211, 23.1582], [1.19325, -0.296194], [7.90463, 23.7183]],
    [10000, 50, [3.69645, -3.67137], [3.62396, 4.12312], [2.9889, -3.04845], [3.863, 3.55956]],
    [10000, 100, [2.59888, -2.21042], [4.79844, 5.77995], [2.2834, -1.96711], [5.03406, 5.27651]],
    [10000, 250, [1.80125, -1.13027], [6.9545, 9.77555], [1.71922, -1.10238], [7.14383, 9.46678]],
    [10000, 500, [1.47511, -0.6805], [9.20838, 15.5541], [1.4641, -0.711342], [9.30947, 15.526]],
    [10000, 1000, [1.28172, -0.409708], [12.1927, 26.1873], [1.29948, -0.459016], [12.1316, 26.6116]],
    [25000, 50, [6.38071, -7.17993], [6.25111, 7.00734], [4.54905, -5.43972], [6.80537, 5.57357]],
    [25000, 100, [4.19053, -4.32281], [8.27703, 9.33084], [3.29013, -3.51015], [8.8684, 7.90107]],
    [25000, 250, [2.59888, -2.21042], [11.9961, 14.4499], [2.2834, -1.96711], [12.5851, 13.1913]],
    [25000, 500, [1.94807, -1.33082], [15.8839, 21.3089], [1.82816, -1.26934], [16.4003, 20.3796]],
    [25000, 1000, [1.56216, -0.801247], [21.0317, 33.2723], [1.53439, -0.819079], [21.372, 32.9365]],
  ])("%f Pa s/m^2 at %f Hz", (sigma, f, zDelany, gDelany, zMiki, gMiki) => {
    for (const [law, z, gamma] of [["Delany-Bazley", zDelany, gDelany], ["Miki", zMiki, gMiki]] as const) {
      fillConstants(2 * Math.PI * f, standardAir, { flowResistivity: sigma, law }, out, 0);
      expectComplexClose([out[2]! / rhoC, out[3]! / rhoC], z, 1e-5, source);
      // Gamma = j k
      expectComplexClose([-out[1]!, out[0]!], gamma, 1e-5, source);
    }
  });
});

describe("layer of 50 mm, 10000 Pa s/m^2, in front of a rigid wall", () => {
  test.each<[number, Complex, number, Complex, number]>([
    // Hz, surface impedance over rho c and absorption at normal incidence: Delany-Bazley, Miki
    [100, [0.313863, -9.01285], 0.0151336, [0.784424, -8.22227], 0.0443241],
    [250, [0.604875, -3.38459], 0.172438, [0.646492, -3.30193], 0.189954],
    [500, [0.610104, -1.52421], 0.496458, [0.592366, -1.53796], 0.483471],
    [1000, [0.655908, -0.470313], 0.885397, [0.655206, -0.480019], 0.882395],
    [2000, [1.13714, 0.210953], 0.986273, [1.22835, 0.201278], 0.981491],
  ])("%f Hz", (f, zDelany, aDelany, zMiki, aMiki) => {
    for (const [law, wanted, absorption] of [["Delany-Bazley", zDelany, aDelany], ["Miki", zMiki, aMiki]] as const) {
      // a filled duct, closed at its end: Z = A / C
      const chain = new Float64Array(8), fill: Fill = { flowResistivity: 10000, law };
      cascadeChain(compileDuct([{ flare: "uniform", length: 0.05, areaStart: 1, areaEnd: 1, walls: { kind: "square" }, fill }]), 2 * Math.PI * f, standardAir, chain);
      const z = over([chain[0]! / rhoC, chain[1]! / rhoC], [chain[4]!, chain[5]!]);
      expectComplexClose(z, wanted, 2e-5, `${source}; Z = Zc coth(Gamma d)`);
      const reflected = over([z[0] - 1, z[1]], [z[0] + 1, z[1]]);
      expectClose(1 - reflected[0] ** 2 - reflected[1] ** 2, absorption, 3e-5, source);
    }
  });
});

describe("notes on the range of a law", () => {
  const filled = (law: Fill["law"], sigma: number): NetworkElement[] => [
    { kind: "duct", name: "line", from: "box", to: "end", sections: [{ flare: "uniform", length: 1, areaStart: 0.01, areaEnd: 0.01, walls: undefined, fill: { flowResistivity: sigma, law } }] },
    { kind: "volume", node: "box", volume: 0.02, fill: { flowResistivity: sigma, law } },
    { kind: "opening", name: "end", node: "end", area: 0.01, load: { kind: "space" }, massInDriver: false },
    { kind: "opening", name: "cone", node: "front", area: 0.033, load: { kind: "space" }, massInDriver: true },
  ];
  const notesOf = (law: Fill["law"], sigma: number, from: number, to: number): string[] => {
    const notes = fillNotes(networkWithDriver(filled(law, sigma), driverA, "front", "box"), Float64Array.of(from, to), standardAir);
    return notes.map((n) => `${n.severity} ${n.where}: ${n.text}`);
  };

  test("the range is 0.01 to 1 of rho f / sigma or f / sigma", () => {
    const range = fillRange({ flowResistivity: 10000, law: "Delany-Bazley" }, standardAir);
    expectClose(range.from, 83.05, 1e-3, "Delany & Bazley 1970: 0.01 < rho f / sigma");
    expectClose(range.to, 8305, 1e-3, "Delany & Bazley 1970: rho f / sigma < 1");
    expect(fillRange({ flowResistivity: 10000, law: "Miki" }, standardAir)).toEqual({ from: 100, to: 10000 });
  });

  test("below its passive limit a filled volume would give energy, above it takes some", () => {
    for (const law of ["Miki", "Delany-Bazley"] as const) {
      const fill: Fill = { flowResistivity: 7000, law };
      const conductance = (f: number): number => {
        fillConstants(2 * Math.PI * f, standardAir, fill, out, 0);
        // Re(j k / z) per volume
        return -(out[1]! * out[2]! - out[0]! * out[3]!);
      };
      expect(conductance(0.999 * passiveFrom(fill, standardAir))).toBeLessThan(0);
      expect(conductance(1.001 * passiveFrom(fill, standardAir))).toBeGreaterThan(0);
    }
  });

  test("inside it nothing is said, outside each filled place once", () => {
    expect(notesOf("Miki", 10000, 100, 1000)).toEqual([]);
    expect(notesOf("Miki", 10000, 20, 300)).toEqual(["line", "volume at box"].map((where) => `remark ${where}: a fill of 10000 Pa s/m^2 by the law of Miki was fitted from 100 Hz to 10000 Hz; below that it is extrapolated`));
    const delany = notesOf("Delany-Bazley", 10000, 20, 300);
    expect(delany).toHaveLength(2);
    expect(delany[0]).toMatch(/^warning line: .*from 83 Hz to 8300 Hz; below that it is extrapolated, and this law may give energy there/);
    expect(notesOf("Delany-Bazley", 100, 50, 500)[0]).toMatch(/^remark line: .*above that it is extrapolated/);
  });
});
