import { describe, expect, it } from "vitest";
import { freeAirImpedance } from "../../src/driver/motor-impedance.js";
import { makeCurve } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { runFit } from "../../src/math/least-squares.js";
import { type BoxTuning, fitBoxTuning } from "../../src/measure/box-tuning.js";
import { type DriverFit, fitDriver } from "../../src/measure/driver-fit.js";
import { impedanceTrace } from "../../src/measure/impedance-trace.js";
import { classicalResonance } from "../../src/measure/resonance-peak.js";
import { expectClose } from "../support/close.js";
import { driverA, driverB } from "../support/drivers.js";
import { impedanceOf } from "../support/impedance-samples.js";

/** Closed-form values from the definitions of Small 1972 and 1973, computed apart from this project. */
const small72 = "R. H. Small, J. Audio Eng. Soc. 20 (1972) 383, closed form", small73 = "R. H. Small, J. Audio Eng. Soc. 21 (1973), closed form";

const curve = (rows: readonly (readonly [number, number, number])[]): Curve =>
  makeCurve({ name: "table", quantity: "electrical impedance", unit: "ohm", frequencies: Float64Array.from(rows, (r) => r[0]), re: Float64Array.from(rows, (r) => r[1]), im: Float64Array.from(rows, (r) => r[2]), phaseKnown: true });

// free-air impedance of two invented drivers, Le = 0: f, Re Z, Im Z
const freeA = curve([[10, 5.78596, 3.34903], [20, 7.145, 9.54386], [30, 36.5665, 30.2415], [40, 13.5757, -20.4675], [60, 6.53214, -7.45157], [100, 5.81208, -3.57577], [200, 5.64487, -1.64708]]);
const freeB = curve([[10, 6.01492, 4.50066], [20, 7.33614, 11.9478], [30, 22.0583, 35.6581], [40, 34.9552, -43.636], [60, 7.69897, -13.2581], [100, 6.18274, -6.00074], [200, 5.87809, -2.71481]]);
// driver B in 30 L tuned to 36 Hz with QL = 7
const vented = curve([[10, 6.09215, 5.01562], [15, 7.29383, 10.4723], [20, 28.369, 27.8677], [25, 14.5093, -14.7952], [30, 8.3748, -5.0099], [36, 7.63144, -0.00522077], [45, 9.01665, 6.60437], [60, 54.2969, -8.38991], [80, 7.97773, -12.2612], [120, 6.15069, -5.44699], [200, 5.88749, -2.82354]]);

/** From 1 Hz to 3 kHz, as close as 1 part in 20 000 about a frequency; few enough points that none are averaged. */
function closeAbout(f: number): Float64Array {
  return Float64Array.from([...logGrid(1, 0.985 * f, 400), ...logGrid(0.9851 * f, 1.015 * f, 600), ...logGrid(1.0151 * f, 3000, 400)]);
}

describe("driver from its impedance", () => {
  it("the impedance of the tables is the one that the tests measure", () => {
    for (const [d, table] of [[driverA, freeA], [driverB, freeB]] as const) {
      const z = impedanceOf(d, table.frequencies), own = freeAirImpedance(d, table.frequencies);
      table.frequencies.forEach((_, i) => {
        expectClose(z.re[i]!, table.re[i]!, 1e-5, small72);
        expectClose(z.im[i]!, table.im[i]!, 1e-5, small72);
        expectClose(own.re[i]!, table.re[i]!, 1e-5, small72);
      });
    }
  });

  it("method of three frequencies: r0, f1, f2, fs, Qms, Qts", () => {
    const rows = [[driverA, 24.6281, 42.8547, 32.4874, 6.12372, 0.518803], [driverB, 25.8446, 49.005, 35.5881, 6.38877, 0.369572]] as const;
    for (const [d, f1, f2, fs, Qms, Qts] of rows) {
      // Re is read far from the resonance: the sweep goes far
      const found = classicalResonance(impedanceTrace(impedanceOf(d, closeAbout(fs)), "test"), "test");
      expectClose(found.f1, f1, 3e-4, small72);
      expectClose(found.f2, f2, 3e-4, small72);
      expectClose(found.fs, fs, 1e-4, small72);
      expectClose(found.Qms, Qms, 1e-3, small72);
      expectClose(found.Qts, Qts, 1e-3, small72);
      expectClose(Math.sqrt(found.f1 * found.f2), fs, 2e-4, small72);
    }
  });

  it("20 g on driver A: 28.1349 Hz; on 20 L: 65.6934 Hz; both give Mms 60 g and Vas 61.7796 L back", () => {
    const frequencies = logGrid(5, 400, 150), exact = (name: string, value: number) => ({ name, value, standardDeviation: 0 });
    const freeAir = impedanceTrace(impedanceOf(driverA, frequencies), "test"), area = exact("diameter", 0.033);
    const mass = impedanceTrace(impedanceOf(driverA, frequencies, { mass: 0.02 }), "test"), box = impedanceTrace(impedanceOf(driverA, frequencies, { volume: 0.02 }), "test");
    expectClose(classicalResonance(impedanceTrace(impedanceOf(driverA, closeAbout(28.1349), { mass: 0.02 }), "t"), "t").fs, 28.1349, 1e-4, small72);
    expectClose(classicalResonance(impedanceTrace(impedanceOf(driverA, closeAbout(65.6934), { volume: 0.02 }), "t"), "t").fs, 65.6934, 2e-4, small72);
    for (const second of [{ kind: "added mass", trace: mass, mass: exact("mass", 0.02) }, { kind: "known volume", trace: box, volume: exact("volume", 0.02) }] as const) {
      const found = runFit(fitDriver({ name: "A", freeAir, second, area, coil: "plain" }) as never) as unknown as DriverFit;
      const wanted = { Re: 5.6, fs: 32.4874, Qms: 6.12372, Qes: 0.566824, Qts: 0.518803, Vas: 0.0617796, Bl: 11, Mms: 0.06, Cms: 0.0004, Rms: 2 };
      for (const [name, value] of Object.entries(wanted)) {
        expectClose(found.estimates.find((e) => e.name === name)!.value, value, 5e-6, small72);
        expectClose(found.driver[name as "Re"], value, 5e-6, small72);
      }
    }
  });
});

describe("vented box from its impedance", () => {
  it("driver B in 30 L, 36 Hz, QL 7: tuning, ratio, loss, peaks and dip from eleven rows of a table", () => {
    // one more row, the resistance far above, so that 12 points are there
    const rows = Array.from(vented.frequencies, (f, i) => [f, vented.re[i]!, vented.im[i]!] as const);
    const z = impedanceOf(driverB, Float64Array.of(2000));
    const trace = impedanceTrace(curve([...rows, [2000, z.re[0]!, z.im[0]!]]), "test");
    const found = runFit(fitBoxTuning({ trace, driver: driverB }) as never) as unknown as BoxTuning;
    const wanted = { fB: [36, 1e-4], alpha: [1.14407, 2e-4], QL: [7, 1e-3], fL: [21.428, 1e-4], fM: [35.962, 1e-4], fH: [59.795, 1e-4], volume: [0.03, 2e-4], fs: [35.5881, 1e-4], Qes: [0.392263, 2e-4], Qms: [6.38877, 1e-3] } as const;
    for (const [name, [value, tolerance]] of Object.entries(wanted)) expectClose(found.estimates.find((e) => e.name === name)!.value, value, tolerance, small73);
    expect(found.fit.converged).toBe(true);
  });
});
