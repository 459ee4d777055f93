import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictDesign, type Prediction } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { driverA } from "../support/drivers.js";

const small = 'R. H. Small, "Closed-box loudspeaker systems, Part I", J. Audio Eng. Soc. 20 (1972) 798: G(s) = s^2 T^2 / (s^2 T^2 + s T / Q + 1)';
const drive = { voltage: Math.sqrt(8), sourceResistance: 0 };

function predictBox(volume: number, frequencies: Float64Array): Prediction {
  const design = buildClosedBox({ driver: driverA, volume, coneLoad: "release" });
  return predictDesign(design, { drive, space: freeSpace("half"), distance: 1, frequencies });
}

describe("closed box against Small's second-order high-pass", () => {
  // worked example: invented driver A, 40 L, sqrt(8) V, half space, 1 m, no radiation load beyond Mms;
  // values computed from Small's formulas outside this project (scipy), relative tolerance 1e-5
  const rows: readonly (readonly [number, number, number, number, number, number])[] = [
    // Hz, level dB, argument of p in degrees, displacement mm RMS, impedance re, im
    [10, 60.8328, 166.385, 0.881681, 5.62546, 1.24086],
    [20, 73.0524, 151.279, 0.899985, 5.73011, 2.80261],
    [30, 80.1442, 133.545, 0.904989, 6.0769, 5.35022],
    [40, 84.6908, 113.431, 0.859194, 7.82691, 11.3916],
    [60, 88.7101, 76.3206, 0.606566, 12.138, -18.7831],
    [100, 89.6598, 40.5671, 0.243594, 5.9166, -4.36508],
    [200, 89.4714, 18.5535, 0.0595912, 5.64888, -1.71892],
  ];
  const p = predictBox(0.04, Float64Array.from(rows, (r) => r[0]));
  test.each(rows.map((r, i) => [r[0], i] as const))("worked example at %f Hz", (_f, i) => {
    const [, level, degrees, mm, zr, zi] = rows[i]!;
    expectClose(p.level[i]!, level, 1e-5, small);
    expectClose((p.phase[i]! * 180) / Math.PI, degrees, 1e-5, small);
    expectClose((p.excursionPeak[i]! / Math.SQRT2) * 1e3, mm, 1e-5, small);
    expectComplexClose([p.impedance.re[i]!, p.impedance.im[i]!], [zr, zi], 1e-5, small);
  });

  test("level, phase and group delay over the whole band equal the closed form", () => {
    for (const volume of [0.008, 0.04, 0.2]) {
      const frequencies = logGrid(5, 1000, 150);
      const got = predictBox(volume, frequencies);
      const ratio = driverA.Vas / volume;
      const fc = driverA.fs * Math.sqrt(1 + ratio), Q = driverA.Qts * Math.sqrt(1 + ratio);
      const wc = 2 * Math.PI * fc;
      const reference = (standardAir.density * driverA.Bl * driverA.Sd * drive.voltage) / (2 * Math.PI * driverA.Mms * driverA.Re);
      for (let i = 0; i < frequencies.length; i++) {
        const x = frequencies[i]! / fc, w = 2 * Math.PI * frequencies[i]!;
        const real = 1 - x * x, imaginary = x / Q;
        const magnitude = (x * x) / Math.hypot(real, imaginary);
        expectClose(got.level[i]!, 20 * Math.log10((reference * magnitude) / 20e-6), 1e-9, small);
        expectClose(got.phase[i]!, Math.PI - Math.atan2(imaginary, real), 1e-7, small);
        const delay = ((wc / Q) * (wc * wc + w * w)) / ((wc * wc - w * w) ** 2 + ((w * wc) / Q) ** 2);
        expectClose(got.groupDelay[i]!, delay, 1e-6, small, 1e-9);
      }
    }
  });

  test("a box for a Butterworth response is 3.01 dB down at its resonance", () => {
    // Small 1972: V = Vas / ((Qtc/Qts)^2 - 1); with Qtc = 1/sqrt 2 for driver A: 0.0720329 m^3, f3 = fc = 44.2789 Hz
    const volume = driverA.Vas / ((Math.SQRT1_2 / driverA.Qts) ** 2 - 1);
    expectClose(volume, 0.0720329, 1e-5, small);
    const got = predictBox(volume, Float64Array.of(44.2789, 4000));
    expectClose(got.level[0]! - got.level[1]!, -3.0103, 1e-3, small);
  });

  test("the mass of the air on the cone is not counted twice: the space changes the level by less than 0.1 dB at low frequency", () => {
    const design = buildClosedBox({ driver: driverA, volume: 0.04 });
    const loaded = predictDesign(design, { drive, space: freeSpace("half"), distance: 1, frequencies: Float64Array.of(20, 50, 100) });
    const free = predictBox(0.04, Float64Array.of(20, 50, 100));
    for (let i = 0; i < 3; i++) expect(Math.abs(loaded.level[i]! - free.level[i]!)).toBeLessThan(0.1);
    expect(loaded.level[2]).not.toBe(free.level[2]);
  });
});
