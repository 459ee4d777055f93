import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { type NetworkElement, networkWithDriver } from "../../src/acoustics/network.js";
import type { Design } from "../../src/enclosure/design.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { driverB } from "../support/drivers.js";

const small = 'R. H. Small, "Vented-box loudspeaker systems, Part I", J. Audio Eng. Soc. 21 (1973): fourth-order polynomial with leakage loss';
const rhoC2 = standardAir.density * standardAir.soundSpeed ** 2;
const drive = { voltage: Math.sqrt(8), sourceResistance: 0 };

/** Small's circuit: volume, port mass, leakage resistance; openings into no pressure. */
function circuit(volume: number, tuning: number, leakageQ: number): Design {
  const compliance = volume / rhoC2, w = 2 * Math.PI * tuning;
  const release = { kind: "release" } as const;
  const elements: NetworkElement[] = [
    { kind: "volume", node: "box", volume },
    { kind: "opening", name: "cone", node: "front", area: driverB.Sd, load: release, massInDriver: true },
    { kind: "lumped", name: "port", from: "box", to: "port", mass: 1 / (w * w * compliance), resistance: 0 },
    { kind: "opening", name: "port", node: "port", area: 0.004, load: release, massInDriver: false },
    { kind: "opening", name: "leak", node: "box", area: undefined, load: { kind: "series", mass: 0, resistance: leakageQ / (w * compliance) }, massInDriver: false },
  ];
  return buildOwnNetwork({ driver: driverB, network: networkWithDriver(elements, driverB, "front", "box") });
}

describe("vented box against Small's fourth-order high-pass", () => {
  // worked example: invented driver B, 30 L, tuned to 36 Hz, leakage Q 7, sqrt(8) V, half space, 1 m;
  // values computed outside this project from Small's polynomial and from a network solution that agree to 6e-16
  const rows: readonly (readonly [number, number, number, number, number, number, number])[] = [
    // Hz, level dB, displacement mm RMS, port flow m^3/s, box pressure Pa, impedance re, im
    [10, 44.7738, 2.49221, 0.00372959, 21.6527, 6.09215, 5.01562],
    [15, 58.5752, 2.16308, 0.00541326, 47.1413, 7.29383, 10.4723],
    [20, 68.3187, 1.76494, 0.0070116, 81.4138, 28.369, 27.8677],
    [25, 75.8091, 1.29722, 0.00850373, 123.424, 14.5093, -14.7952],
    [30, 81.5442, 0.753131, 0.00952393, 165.878, 8.3748, -5.0099],
    [36, 85.8898, 0.260947, 0.00908983, 189.981, 7.63144, -0.00522077],
    [45, 88.1341, 0.571738, 0.00602614, 157.436, 9.01665, 6.60437],
    [60, 88.6646, 0.584433, 0.00270241, 94.1354, 54.2969, -8.38991],
    [80, 88.8589, 0.41655, 0.00116586, 54.1487, 7.97773, -12.2612],
    [120, 89.0992, 0.216714, 0.000355133, 24.7413, 6.15069, -5.44699],
    [200, 89.2841, 0.0846753, 7.83583e-5, 9.09842, 5.88749, -2.82354],
  ];
  const p = predictDesign(circuit(0.03, 36, 7), { drive, space: freeSpace("half"), distance: 1, frequencies: Float64Array.from(rows, (r) => r[0]) });
  test.each(rows.map((r, i) => [r[0], i] as const))("worked example at %f Hz", (_f, i) => {
    const [, level, mm, flow, pressure, zr, zi] = rows[i]!;
    expectClose(p.level[i]!, level, 1e-5, small);
    expectClose((p.excursionPeak[i]! / Math.SQRT2) * 1e3, mm, 1e-5, small);
    const port = p.openings.find((o) => o.name === "port")!.volumeVelocity;
    expectClose(Math.hypot(port.re[i]!, port.im[i]!), flow, 1e-5, small);
    // front of the cone works into no pressure, so the pressure across it is that of the box
    expectClose(Math.hypot(p.pressureAcrossCone.re[i]!, p.pressureAcrossCone.im[i]!), pressure, 1e-5, small);
    expectComplexClose([p.impedance.re[i]!, p.impedance.im[i]!], [zr, zi], 1e-5, small);
  });

  test("level over the whole band equals the polynomial, phase starts at 360 degrees", () => {
    const h = 36 / driverB.fs, alpha = driverB.Vas / 0.03, leakageQ = 7, Q = driverB.Qts;
    const a1 = (leakageQ + h * Q) / (Math.sqrt(h) * leakageQ * Q);
    const a2 = (h + (alpha + 1 + h * h) * leakageQ * Q) / (h * leakageQ * Q);
    const a3 = (h * leakageQ + Q) / (Math.sqrt(h) * leakageQ * Q);
    expectClose(a1, 2.83399, 1e-5, small);
    expectClose(a2, 3.51766, 1e-5, small);
    expectClose(a3, 2.86349, 1e-5, small);
    const frequencies = logGrid(4, 800, 120);
    const got = predictDesign(circuit(0.03, 36, leakageQ), { drive, space: freeSpace("half"), distance: 1, frequencies });
    for (let i = 0; i < frequencies.length; i++) {
      const w = frequencies[i]! / Math.sqrt(36 * driverB.fs);
      const re = w ** 4 - a2 * w * w + 1, im = a3 * w - a1 * w ** 3;
      expectClose(got.level[i]!, 89.4126 + 20 * Math.log10(w ** 4 / Math.hypot(re, im)), 2e-6, small);
      const wanted = 2 * Math.PI - unwrapped(w, a1, a2, a3);
      expectClose(got.phase[i]!, wanted, 1e-5, small, 1e-6);
    }
  });
});

/** Phase of the denominator, followed from zero frequency on a fine grid. */
function unwrapped(w: number, a1: number, a2: number, a3: number): number {
  let phase = 0, last = 0;
  for (let i = 1; i <= 400; i++) {
    const x = (w * i) / 400;
    const angle = Math.atan2(a3 * x - a1 * x ** 3, x ** 4 - a2 * x * x + 1);
    let step = angle - last;
    step -= 2 * Math.PI * Math.round(step / (2 * Math.PI));
    phase += step;
    last = angle;
  }
  return phase;
}

describe("port length", () => {
  // f_B = (c / 2 pi) sqrt(S / (V L_eff)) with L_eff = 0.295321 m for 30 L, 36 Hz, radius 35 mm (elementary Helmholtz resonator);
  // ends: free 0.6133 a (Levine & Schwinger 1948), piston in a wall 0.8488 a (Rayleigh), because the outer end is loaded as a piston
  test("length from tuning and tuning from length agree", () => {
    const area = Math.PI * 0.035 ** 2;
    const design = buildVentedBox({ driver: driverB, volume: 0.03, port: { area, tuning: 36 } });
    const length = design.facts.find((f) => f.name === "port length")!.value;
    expectClose(length, 0.295321 - (0.6133 + 8 / (3 * Math.PI)) * 0.035, 1e-5, "Helmholtz resonator, end corrections Levine & Schwinger 1948 and Rayleigh");
    const back = buildVentedBox({ driver: driverB, volume: 0.03, port: { area, length } });
    expectClose(back.facts.find((f) => f.name === "tuning (Thiele 1961), outer end in a half space")!.value, 36, 1e-9, "Thiele 1961");
  });

  test("the port solved as a duct tunes the box within 1 % of the lumped formula: impedance dip and cone minimum at 36 Hz", () => {
    const design = buildVentedBox({ driver: driverB, volume: 0.03, port: { area: Math.PI * 0.035 ** 2, tuning: 36 } });
    const frequencies = logGrid(30, 42, 600);
    const got = predictDesign(design, { drive, space: freeSpace("half"), distance: 1, frequencies });
    let dip = 0;
    for (let i = 1; i < frequencies.length; i++) if (got.excursionPeak[i]! < got.excursionPeak[dip]!) dip = i;
    expectClose(frequencies[dip]!, 36, 0.01, "Thiele 1961; the duct is longer than a point, so it tunes slightly lower");
    expect(dip).toBeGreaterThan(0);
  });

  test("a tuning that the ends alone exceed is refused", () => {
    expect(() => buildVentedBox({ driver: driverB, volume: 0.005, port: { area: 0.01, tuning: 300 } })).toThrow(/a tuning below \d+/);
  });
});
