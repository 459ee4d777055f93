import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { buildFourthOrderBandPass } from "../../src/enclosure/fourth-order-band-pass.js";
import { buildSixthOrderBandPass } from "../../src/enclosure/sixth-order-band-pass.js";
import type { Design } from "../../src/enclosure/design.js";
import type { PortOptions } from "../../src/enclosure/port.js";
import { logGrid } from "../../src/math/log-grid.js";
import { type Prediction, predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { driverB } from "../support/drivers.js";

const source = 'E. R. Geddes, "An introduction to band-pass loudspeaker systems", J. Audio Eng. Soc. 37 (1989) 308, and L. R. Fincham, AES preprint 1512 (1979): exact lumped circuit, worked out outside this project in closed form and as a network (they agree to 8e-16)';
const rhoC2 = standardAir.density * standardAir.soundSpeed ** 2;
const release = { kind: "release" } as const;

/** A port as a plain mass that tunes a chamber, without loss. */
function massFor(volume: number, tuning: number): PortOptions {
  return { mass: rhoC2 / (volume * (2 * Math.PI * tuning) ** 2) };
}

/** Resistance of leaks for a leakage quality factor at a tuning, Pa s/m^3. */
function leakFor(volume: number, tuning: number, quality: number): number {
  return (quality * rhoC2) / (2 * Math.PI * tuning * volume);
}

function predicted(design: Design, frequencies: Float64Array): Prediction {
  return predictDesign(design, { drive: { voltage: Math.sqrt(8), sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies });
}

/** Angle of the sound pressure without the leaks of the circuit, which the worked examples do not count as sound, and its level. */
function ofPorts(p: Prediction, i: number): { readonly level: number; readonly degrees: number } {
  let re = 0, im = 0;
  for (const o of p.openings) {
    if (o.name.endsWith("leak")) continue;
    re += o.volumeVelocity.re[i]!;
    im += o.volumeVelocity.im[i]!;
  }
  // p = j w rho U / (2 pi r)
  const size = p.frequencies[i]! * standardAir.density * Math.hypot(re, im);
  return { level: 20 * Math.log10(size / 20e-6), degrees: (Math.atan2(re, -im) * 180) / Math.PI };
}

describe("fourth-order band-pass", () => {
  // driver B (invented), 15 L closed, tuned to its resonance with it, flat prototype: 9.37562 L in front; sqrt(8) V, half space, 1 m
  const f0 = driverB.fs * Math.sqrt(1 + driverB.Vas / 0.015);
  const front = 2 * driverB.Qts ** 2 * driverB.Vas;
  const design = buildFourthOrderBandPass({ driver: driverB, rear: { volume: 0.015 }, front: { volume: front }, port: massFor(front, f0), loads: { port: release } });
  const rows: readonly (readonly [number, number, number, number, number])[] = [
    [25, 75.5375, 138.497, 6.04683, 4.82245],
    [40, 85.9615, 85.1291, 35.5976, -43.8966],
    [50, 88.2389, 42.2571, 6.06022, -4.95114],
    [60, 88.4786, 11.2657, 5.81254, -1.08837],
    [80, 88.3587, -34.9123, 5.95373, 3.80762],
    [100, 86.6065, -77.643, 11.9569, 23.3174],
    [150, 77.9165, -131.202, 6.2106, -6.21441],
  ];
  const p = predicted(design, Float64Array.from(rows, (r) => r[0]));

  test("facts of the symmetrical case", () => {
    expectClose(f0, 64.5327, 1e-5, source);
    expectClose(front, 0.00937562, 1e-5, source);
    expectClose(design.facts.find((fact) => fact.name === "resonance with the rear chamber")!.value, 64.5327, 1e-5, source);
    expectClose(design.facts.find((fact) => fact.name === "tuning of the front chamber")!.value, 64.5327, 1e-5, source);
  });

  test.each(rows.map((r, i) => [r[0], i] as const))("worked example at %f Hz", (_f, i) => {
    const [, level, degrees, re, im] = rows[i]!;
    expectClose(p.level[i]!, level, 1e-5, source);
    expectClose(Math.atan2(p.pressure.im[i]!, p.pressure.re[i]!) * (180 / Math.PI), degrees, 1e-5, source);
    expectComplexClose([p.impedance.re[i]!, p.impedance.im[i]!], [re, im], 1e-5, source);
  });

  test("the response is the band-pass of a Butterworth low-pass over the whole band", () => {
    // G = 1 / (q^2 + q / Q + b), q = s / w0 + w0 / s; b = (Vas / front) / (1 + Vas / rear)
    const b = driverB.Vas / front / (1 + driverB.Vas / 0.015), Q = driverB.Qts * (f0 / driverB.fs);
    expectClose(b, 1.11333, 1e-5, source);
    const f = logGrid(8, 500, 80), got = predicted(design, f);
    for (let i = 0; i < f.length; i++) {
      const y = f[i]! / f0 - f0 / f[i]!; // q = j y
      expectClose(got.level[i]!, 89.4126 - 20 * Math.log10(Math.hypot(b - y * y, y / Q)), 2e-6, source);
    }
    for (const edge of [38.9172, 107.008]) {
      const at = predicted(design, Float64Array.of(edge, f0 * 1.0000001).sort());
      const middle = edge < f0 ? at.level[1]! : at.level[0]!, side = edge < f0 ? at.level[0]! : at.level[1]!;
      expectClose(middle - side, 10 * Math.log10(2), 1e-4, source);
    }
  });

  // 12 L closed, 18 L tuned to 55 Hz with leakage Q 10
  const lossy = buildFourthOrderBandPass({ driver: driverB, rear: { volume: 0.012 }, front: { volume: 0.018, leakResistance: leakFor(0.018, 55, 10) }, port: massFor(0.018, 55), loads: { port: release } });
  const lossyRows: readonly (readonly [number, number, number])[] = [[20, 69.5066, 152.38], [30, 79.0731, 130.603], [40, 87.2442, 89.7733], [55, 89.6293, 3.62206], [75, 86.405, -52.4848], [100, 82.094, -95.0662], [150, 73.9199, -133.088]];
  const q = predicted(lossy, Float64Array.from(lossyRows, (r) => r[0]));
  test.each(lossyRows.map((r, i) => [r[0], i] as const))("with leakage at %f Hz", (_f, i) => {
    const heard = ofPorts(q, i);
    expectClose(heard.level, lossyRows[i]![1], 1e-5, source);
    expectClose(heard.degrees, lossyRows[i]![2], 2e-5, source);
  });
});

describe("sixth-order band-pass", () => {
  // 40 L tuned to 30 Hz and 15 L tuned to 75 Hz, both with leakage Q 10, both ports into the open
  const parallel = buildSixthOrderBandPass({
    driver: driverB,
    rear: { volume: 0.04, leakResistance: leakFor(0.04, 30, 10) },
    front: { volume: 0.015, leakResistance: leakFor(0.015, 75, 10) },
    rearPort: massFor(0.04, 30),
    frontPort: massFor(0.015, 75),
    loads: { "rear port": release, "front port": release },
  });
  const rows: readonly (readonly [number, number, number, number, number])[] = [
    [20, 72.407, -110.555, 30.5789, -23.8335],
    [30, 85.7224, 172.422, 7.22684, -0.0237656],
    [40, 88.9636, 104.514, 16.7047, 14.1084],
    [55, 90.3821, 52.6063, 7.87514, -7.68599],
    [75, 93.1885, -3.74569, 7.12531, -0.138011],
    [100, 90.0803, -85.4729, 27.5534, -14.154],
    [150, 78.912, -133.64, 6.13169, -4.83299],
  ];
  const p = predicted(parallel, Float64Array.from(rows, (r) => r[0]));
  test.each(rows.map((r, i) => [r[0], i] as const))("both chambers vented outside, at %f Hz", (_f, i) => {
    const [, level, degrees, re, im] = rows[i]!;
    const heard = ofPorts(p, i);
    expectClose(heard.level, level, 1e-5, source);
    expectClose(heard.degrees, degrees, 2e-5, source);
    expectComplexClose([p.impedance.re[i]!, p.impedance.im[i]!], [re, im], 1e-5, source);
  });

  test("tuned in series: the rear port between the chambers, against the circuit solved by hand", () => {
    const rear = 0.03, front = 0.02, rearMass = massFor(rear, 34).mass!, frontMass = massFor(front, 70).mass!;
    const design = buildSixthOrderBandPass({ driver: driverB, rear: { volume: rear }, front: { volume: front }, rearPort: { mass: rearMass }, frontPort: { mass: frontMass }, tuned: "series", loads: { "front port": release } });
    expect(design.network.elements.filter((e) => e.kind === "opening").map((e) => e.name)).toEqual(["front port"]);
    const f = logGrid(10, 300, 40), got = predicted(design, f);
    for (let i = 0; i < f.length; i++) {
      const w = 2 * Math.PI * f[i]!, { Bl, Re, Sd, Rms, Mms, Cms } = driverB;
      // lossless chambers: flow U leaves the cone into the front and is taken from the rear. With a, b the susceptances
      // w C of rear and front and x, y those of the masses, 1/(w M): j b pf = U - (pf - pr)/(j w Mr) - pf/(j w Mf), j a pr = -U + (pf - pr)/(j w Mr)
      const a = (w * rear) / rhoC2, b = (w * front) / rhoC2, x = 1 / (w * rearMass), y = 1 / (w * frontMass);
      // pf = -j U s, pr = -j U t with (b - x - y) s + x t = 1 and x s + (a - x) t = -1
      const det = (b - x - y) * (a - x) - x * x;
      const s = (a - x + x) / det, t = (-(b - x - y) - x) / det;
      // mechanical: Bl i = (Rms + j(w Mms - 1/(w Cms))) v + Sd (pf - pr), E = Re i + Bl v, U = Sd v
      const reactance = w * Mms - 1 / (w * Cms) - Sd * Sd * (s - t);
      const mr = Rms + (Bl * Bl) / Re, force = (Bl * Math.sqrt(8)) / Re;
      const v = force / Math.hypot(mr, reactance);
      const port = Sd * v * Math.abs(s) * y;
      const o = got.openings[0]!.volumeVelocity;
      expectClose(Math.hypot(o.re[i]!, o.im[i]!), port, 1e-9, "series-tuned circuit by elimination, done in this test");
    }
  });
});
