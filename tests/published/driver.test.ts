import { describe, expect, it } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { deriveDriver } from "../../src/driver/derive.js";
import { freeAirImpedance } from "../../src/driver/motor-impedance.js";
import type { Driver } from "../../src/driver/parameters.js";
import { halfSpaceConstant, referenceEfficiency, referenceLevel } from "../../src/driver/sensitivity.js";
import { magnitude } from "../../src/math/curve.js";
import { expectClose } from "../support/close.js";

// Two invented drivers; all values were evaluated independently of this project from the formulas of the source named,
// to six digits, in air of 1.2041 kg/m^3 and 343.2 m/s.
const small1972 = 'R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20(5) (1972) 383';
const thiele1961 = 'A. N. Thiele, "Loudspeakers in vented boxes", Proc. IREE Australia 22 (1961) 487';
const sixDigits = 1e-5;

const drivers = {
  A: deriveDriver({ name: "invented A", Mms: 0.06, Cms: 0.0004, Rms: 2, Bl: 11, Re: 5.6, Sd: 0.033 }),
  B: deriveDriver({ name: "invented B", Mms: 0.04, Cms: 0.0005, Rms: 1.4, Bl: 11.5, Re: 5.8, Sd: 0.022 }),
};

describe(`parameters: ${small1972}`, () => {
  const derived: [keyof Driver, number, number][] = [
    ["fs", 32.4874, 35.5881],
    ["Qms", 6.12372, 6.38877],
    ["Qes", 0.566824, 0.392263],
    ["Qts", 0.518803, 0.369572],
    ["Vas", 0.0617796, 0.034322],
  ];
  it.each(derived)("%s from mass, compliance, resistances, force factor and area", (name, a, b) => {
    expectClose(drivers.A[name] as number, a, sixDigits, small1972);
    expectClose(drivers.B[name] as number, b, sixDigits, small1972);
  });

  it("the inverse way, from fs, Qms, Qes, Vas, Sd and Re", () => {
    const a = deriveDriver({ fs: 32.4874, Qms: 6.12372, Qes: 0.566824, Vas: 0.0617796, Sd: 0.033, Re: 5.6 });
    // six-digit inputs; Mms holds 1/fs^2, so their rounding counts up to fivefold
    expectClose(a.Cms, 0.0004, 2e-5, small1972);
    expectClose(a.Mms, 0.06, 3e-5, small1972);
    expectClose(a.Rms, 2, 3e-5, small1972);
    expectClose(a.Bl, 11, 3e-5, small1972);
  });

  it("Vas is the volume whose spring equals the suspension at the area of the cone", () => {
    const { density, soundSpeed } = standardAir;
    const springOfAir = (density * soundSpeed ** 2 * drivers.A.Sd ** 2) / 0.0617796;
    expectClose(springOfAir * drivers.A.Cms, 1, sixDigits, small1972);
  });
});

describe(`efficiency and level: ${small1972}`, () => {
  it.each([
    [406, 112.083],
    [407, 112.094],
    [410, 112.125],
    [413.247, 112.16],
    [415, 112.178],
  ])("constant for %d Pa s/m is %d dB", (airImpedance, constant) => {
    // printed to 0.001 dB
    expect(Math.abs(halfSpaceConstant(airImpedance) - constant)).toBeLessThanOrEqual(0.00051);
  });

  it.each([
    ["A", 0.00364971, 87.7823, 89.3313],
    ["B", 0.00385149, 88.016, 89.4126],
  ] as const)("driver %s", (which, efficiency, level, levelAtEightVoltSquared) => {
    const driver = drivers[which];
    expectClose(referenceEfficiency(driver), efficiency, sixDigits, small1972);
    // printed to 0.0001 dB
    expect(Math.abs(referenceLevel(driver) - level)).toBeLessThanOrEqual(0.00006);
    expect(Math.abs(referenceLevel(driver) + 10 * Math.log10(8 / driver.Re) - levelAtEightVoltSquared)).toBeLessThanOrEqual(0.00006);
    // second form, from fs, Vas and Qes
    expectClose((4 * Math.PI ** 2 * driver.fs ** 3 * driver.Vas) / (343.2 ** 3 * driver.Qes), efficiency, sixDigits, small1972);
  });
});

describe(`free-air impedance: ${small1972}`, () => {
  const rows: [number, number, number, number, number][] = [
    [10, 5.78596, 3.34903, 6.01492, 4.50066],
    [20, 7.145, 9.54386, 7.33614, 11.9478],
    [30, 36.5665, 30.2415, 22.0583, 35.6581],
    [40, 13.5757, -20.4675, 34.9552, -43.636],
    [60, 6.53214, -7.45157, 7.69897, -13.2581],
    [100, 5.81208, -3.57577, 6.18274, -6.00074],
    [200, 5.64487, -1.64708, 5.87809, -2.71481],
  ];
  it.each(rows)("at %d Hz", (f, reA, imA, reB, imB) => {
    for (const [driver, re, im] of [[drivers.A, reA, imA], [drivers.B, reB, imB]] as const) {
      const z = freeAirImpedance(driver, Float64Array.of(f));
      expect(Math.hypot(z.re[0]! - re, z.im[0]! - im) / Math.hypot(re, im)).toBeLessThanOrEqual(sixDigits);
    }
  });

  it("is largest at fs", () => {
    expectClose(magnitude(freeAirImpedance(drivers.A, Float64Array.of(drivers.A.fs)))[0]!, 66.1, sixDigits, small1972);
    expectClose(magnitude(freeAirImpedance(drivers.B, Float64Array.of(drivers.B.fs)))[0]!, 100.264, sixDigits, small1972);
  });
});

describe("worked examples of measuring a driver", () => {
  it.each([
    ["A", 11.8036, 24.6281, 42.8547, 6.12372, 0.518803],
    ["B", 17.2869, 25.8446, 49.005, 6.38877, 0.369572],
  ] as const)(`two frequencies beside the resonance, driver %s: ${thiele1961}`, (which, ratio, low, high, Qms, Qts) => {
    const driver = drivers[which];
    const at = (f: number): number => magnitude(freeAirImpedance(driver, Float64Array.of(f)))[0]!;
    const r0 = at(driver.fs) / driver.Re;
    expectClose(r0, ratio, sixDigits, thiele1961);
    const wanted = driver.Re * Math.sqrt(r0);
    const f1 = crossing(at, wanted, driver.fs / 4, driver.fs);
    const f2 = crossing(at, wanted, driver.fs * 4, driver.fs);
    expectClose(f1, low, sixDigits, thiele1961);
    expectClose(f2, high, sixDigits, thiele1961);
    const fs = Math.sqrt(f1 * f2);
    const measured = deriveDriver({ fs, Qms: (fs * Math.sqrt(r0)) / (f2 - f1), Qts: fs / Math.sqrt(r0) / (f2 - f1), Re: driver.Re, Sd: driver.Sd, Mms: driver.Mms });
    expectClose(measured.Qms, Qms, sixDigits, thiele1961);
    expectClose(measured.Qts, Qts, sixDigits, thiele1961);
    // the whole driver comes back; the crossings were searched to 1e-13, Qms loses a digit
    for (const name of ["fs", "Qes", "Bl", "Cms", "Rms", "Vas"] as const) expectClose(measured[name], driver[name], 1e-9, thiele1961);
  });

  it(`added mass of 20 g: ${thiele1961}`, () => {
    const { A } = drivers;
    const loaded = deriveDriver({ Mms: A.Mms + 0.02, Cms: A.Cms, Rms: A.Rms, Bl: A.Bl, Re: A.Re, Sd: A.Sd });
    expectClose(loaded.fs, 28.1349, sixDigits, thiele1961);
    expectClose(0.02 / ((A.fs / loaded.fs) ** 2 - 1), 0.06, 1e-12, thiele1961);
  });

  it(`test box of 20 L: ${thiele1961}`, () => {
    const { A } = drivers;
    const springs = 1 / A.Cms + (1.2041 * 343.2 ** 2 * A.Sd ** 2) / 0.02;
    const boxed = deriveDriver({ Mms: A.Mms, Cms: 1 / springs, Rms: A.Rms, Bl: A.Bl, Re: A.Re, Sd: A.Sd });
    expectClose(boxed.fs, 65.6934, sixDigits, thiele1961);
    expectClose(0.02 * ((boxed.fs / A.fs) ** 2 - 1), A.Vas, 1e-12, thiele1961);
  });
});

function crossing(at: (f: number) => number, wanted: number, outside: number, inside: number): number {
  let [low, high] = [outside, inside];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (at(middle) < wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
