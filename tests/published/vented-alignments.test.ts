import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";
import { driverB, physicalDriver } from "../support/drivers.js";

const thiele = 'A. N. Thiele, "Loudspeakers in vented boxes", 1961; R. H. Small, "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973): alignments computed outside this project from their polynomials';
const rhoC2 = standardAir.density * standardAir.soundSpeed ** 2;

// QT, alignment, fB/fs, Vas/VB, f3/fs, ripple dB; leakage quality factor
type Row = readonly [QT: number, name: string, h: number, alpha: number, f3: number, ripple: number];
const table: readonly (readonly [QL: number, rows: readonly Row[]])[] = [
  [Infinity, [[0.18, "quasi-Butterworth", 1.9968, 10.4449, 2.67917, 0], [0.25, "quasi-Butterworth", 1.46059, 4.86667, 1.84943, 0], [0.3, "quasi-Butterworth", 1.23542, 3.0293, 1.46793, 0], [0.382683, "Butterworth", 1, 1.41421, 1, 0], [0.45, "Chebyshev", 0.855437, 0.803342, 0.762339, 0.0357938], [0.5, "Chebyshev", 0.776887, 0.603553, 0.665925, 0.190396], [0.6, "Chebyshev", 0.687176, 0.433403, 0.567691, 0.814177]]],
  [15, [[0.2, "quasi-Butterworth", 1.86403, 8.03312, 2.45124, 0], [0.392702, "Butterworth", 1, 1.24445, 1, 0], [0.5, "Chebyshev", 0.787319, 0.534853, 0.687266, 0.124345]]],
  [7, [[0.18, "quasi-Butterworth", 2.1495, 9.85889, 2.83446, 0], [0.3, "quasi-Butterworth", 1.31453, 2.8452, 1.57316, 0], [0.404814, "Butterworth", 1, 1.06132, 1, 0], [0.5, "Chebyshev", 0.803114, 0.464205, 0.715455, 0.0704406], [0.6, "Chebyshev", 0.680516, 0.274853, 0.588351, 0.461451]]],
  [3, [[0.2, "quasi-Butterworth", 2.16939, 7.0552, 2.75478, 0], [0.438636, "Butterworth", 1, 0.654283, 1, 0], [0.5, "Chebyshev", 0.862062, 0.322276, 0.806002, 0.0092429]]],
];

/** A driver of the wanted total quality factor at 30 Hz without mechanical loss to speak of, invented. */
function driverOf(QT: number): ReturnType<typeof physicalDriver> {
  const Mms = 0.06, w = 2 * Math.PI * 30, Re = 5.6, Qms = 1e7;
  const Qes = 1 / (1 / QT - 1 / Qms);
  return physicalDriver("aligned (invented)", { Mms, Cms: 1 / (w * w * Mms), Rms: (w * Mms) / Qms, Bl: Math.sqrt((w * Mms * Re) / Qes), Re, Sd: 0.033 });
}

describe.each(table.flatMap(([QL, rows]) => rows.map((row) => [QL, ...row] as const)))("leakage Q %f, QT %f, %s", (QL, QT, _name, h, alpha, f3, ripple) => {
  test("minus 3 dB where the table says, the ripple that it says, flat far above", () => {
    const driver = driverOf(QT), volume = driver.Vas / alpha, w = 2 * Math.PI * driver.fs * h, compliance = volume / rhoC2;
    const release = { kind: "release" } as const;
    const leak = QL === Infinity ? {} : { leakResistance: QL / (w * compliance) };
    const design = buildVentedBox({ driver, volume, ...leak, port: { mass: 1 / (w * w * compliance) }, loads: { cone: release, port: release } });
    expectClose(design.facts.find((f) => f.name === "tuning (Thiele 1961)")!.value, driver.fs * h, 1e-9, thiele);
    const grid = logGrid(driver.fs * f3 * 1.0001, driver.fs * 400, 900);
    const level = (f: Float64Array): Float64Array => predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies: f }).level;
    const band = level(grid), flat = band[band.length - 1]!;
    // f3 is printed with six digits; the slope there is below 24 dB an octave, so 1e-5 of it is 0.0004 dB
    expectClose(flat - level(Float64Array.of(driver.fs * f3))[0]!, 10 * Math.log10(2), 3e-4, thiele);
    const top = band.reduce((a, b) => Math.max(a, b)) - flat;
    expectClose(top, ripple, 2e-3, thiele, 2e-4);
    expect(band[0]!).toBeLessThan(flat);
  });
});

describe("length of round ports", () => {
  // f_B = (c/2 pi) sqrt(n S / (V (L + ends))); ends in radii: both in walls 1.6434, one free 1.4350, both free 1.2266
  // (free 0.6133 Levine & Schwinger 1948, in a wall 0.8217 Norris & Sheng 1989)
  const source = "Helmholtz resonator with end corrections of Levine & Schwinger 1948 and Norris & Sheng 1989, computed outside this project";
  const rows: readonly (readonly [litres: number, hertz: number, mm: number, count: number, free: number, flush: number])[] = [
    [30, 36, 35, 1, 0.245096, 0.237802], [30, 36, 50, 1, 0.530946, 0.520526], [50, 30, 50, 1, 0.44898, 0.43856], [80, 28, 50, 2, 0.67547, 0.66505], [100, 25, 75, 1, 0.735957, 0.720327],
  ];
  test.each(rows)("%f L at %f Hz, radius %f mm, %i of them", (litres, hertz, mm, count, free, flush) => {
    const radius = mm / 1e3, area = Math.PI * radius * radius;
    const length = (innerEnd: "free" | "flush"): number => buildVentedBox({ driver: driverB, volume: litres / 1e3, port: { area, tuning: hertz, count, innerEnd } }).facts.find((f) => f.name === "port length")!.value;
    // the outer end is loaded as a piston, 8/(3 pi) radii in place of 0.8217 of a tube in a wall: 0.0271 radii shorter
    const outer = (8 / (3 * Math.PI) - 0.8217) * radius;
    expectClose(length("free") + outer, free, 1e-5, source, 1e-5);
    expectClose(length("flush") + outer, flush, 1e-5, source, 1e-5);
  });

  test("two ports of half the area are shorter than one of the whole, by their ends", () => {
    const of = (count: number): number => buildVentedBox({ driver: driverB, volume: 0.05, port: { area: 0.008 / count, tuning: 30, count } }).facts.find((f) => f.name === "port length")!.value;
    const ends = 0.6133 + 8 / (3 * Math.PI);
    expectClose(of(2) - of(1), ends * (Math.sqrt(0.008 / Math.PI) - Math.sqrt(0.004 / Math.PI)), 1e-9, source);
  });

  test("a slot on a wall has the end of one of twice the height; a slot's outer end is a rectangular piston", () => {
    // rectangular piston: end correction over the root of the area 0.473201 (square), 0.459762 (2:1), 0.423381 (4:1); Rayleigh, mean of 1/r
    const length = (onWall: boolean, innerEnd: "free" | "flush"): number => buildVentedBox({ driver: driverB, volume: 0.05, port: { slot: { width: 0.12, height: 0.06, onWall }, innerEnd, tuning: 30 } }).facts.find((f) => f.name === "port length")!.value;
    const S = 0.12 * 0.06, effective = (S / 0.05) * (standardAir.soundSpeed / (2 * Math.PI * 30)) ** 2, outer = 0.459762 * Math.sqrt(S);
    const rayleigh = "Rayleigh, Theory of Sound, section 302: mean of 1/r over a rectangle, computed outside this project";
    expectClose(length(false, "flush"), effective - 2 * outer, 1e-5, rayleigh);
    expectClose(length(true, "flush"), effective - outer - 0.473201 * Math.sqrt(2 * S), 1e-5, rayleigh);
    expectClose(length(true, "free"), effective - outer - 0.6133 * Math.sqrt((2 * S) / Math.PI), 1e-5, "Levine & Schwinger 1948, equal area");
  });

  test("a rounded port of the same length tunes higher, and its length follows from the tuning", () => {
    const facts = (port: object): ReadonlyMap<string, number> => new Map(buildVentedBox({ driver: driverB, volume: 0.03, port: { area: Math.PI * 0.03 ** 2, ...port } }).facts.map((f) => [f.name, f.value]));
    const sharp = facts({ length: 0.2 }), round = facts({ length: 0.2, rounding: 0.02 });
    expect(round.get("tuning (Thiele 1961), outer end in a half space")!).toBeGreaterThan(sharp.get("tuning (Thiele 1961), outer end in a half space")!);
    const back = facts({ tuning: round.get("tuning (Thiele 1961), outer end in a half space")!, rounding: 0.02 });
    expectClose(back.get("port length")!, 0.2, 1e-9, "inverse of the tuning");
    // inertance of a quarter circle of radius r round a tube of radius a: int dx / (pi (a + r (1 - sin t))^2), x = r (1 - cos t), by Simpson's rule here
    let sum = 0;
    const n = 2000, r = 0.02, a = 0.03;
    for (let i = 0; i <= n; i++) {
      const t = (i / n) * (Math.PI / 2), weight = i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2;
      sum += (weight * r * Math.sin(t)) / (Math.PI * (a + r * (1 - Math.sin(t))) ** 2);
    }
    const rounded = (sum * Math.PI) / 2 / n / 3, wide = a + r;
    const total = 0.16 / (Math.PI * a * a) + 2 * rounded + (0.6133 + 8 / (3 * Math.PI)) / (Math.PI * wide);
    const tuning = (standardAir.soundSpeed / (2 * Math.PI)) / Math.sqrt(0.03 * total);
    // twelve cones stand for the quarter circle
    expectClose(round.get("tuning (Thiele 1961), outer end in a half space")!, tuning, 3e-4, "inertance of a flared tube, int dx / S, elementary");
  });
});
