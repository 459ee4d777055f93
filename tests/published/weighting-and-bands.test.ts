import { describe, expect, test } from "vitest";
import { fractional, rows } from "./weighting-and-bands-table.js";
import { octaveBands, octaveRatio } from "../../src/measure/fractional-octaves.js";
import { weightingDb, weightingTable } from "../../src/measure/frequency-weighting.js";
import { expectClose } from "../support/close.js";

const table3 = "IEC 61672-1:2013, table 3, at exact base-ten frequencies";
const bandsSource = "IEC 61260-1:2014, 5.2 to 5.6, base ten";

describe("frequency weighting", () => {
  test.each(rows)("%s Hz: A %s dB, C %s dB", (nominal, A, C) => {
    const exact = octaveBands(3, [nominal * 0.95, nominal * 1.05])[0]!;
    expect(exact.nominal).toBe(nominal);
    // the printed values are rounded to 0.1 dB; at 160 Hz the formula gives -13.350, printed -13.4
    expectClose(weightingDb("A", exact.middle), A, 0, table3, 0.0505);
    expectClose(weightingDb("C", exact.middle), C, 0, table3, 0.0505);
    expect(weightingDb("Z", exact.middle)).toBe(0);
  });

  test("the kept table has these goals, and limits that hold them", () => {
    expect(weightingTable.map(({ nominal, A, C }) => [nominal, A, C])).toEqual(rows.map((r) => [...r]));
    for (const { class1, class2 } of weightingTable) {
      expect(class1[0]).toBeGreaterThanOrEqual(class2[0]);
      expect(class1[1]).toBeLessThanOrEqual(class2[1]);
      expect(class1[1]).toBeGreaterThan(0);
    }
  });

  test("the constants of the standard", () => {
    // E.2, E.3: the formulas without their constants are -0.062 dB and -2.000 dB at 1 kHz; so far below, C tends to 40 dB a decade
    expectClose(weightingDb("C", 1) - weightingDb("C", 0.1), 40, 0, "IEC 61672-1:2013, annex E: double pole at 20.6 Hz", 0.03);
    expectClose(weightingDb("A", 0.2) - weightingDb("A", 0.02), 80, 0, "IEC 61672-1:2013, annex E: four poles at low frequency", 0.003);
    expectClose(weightingDb("C", 20.598997), -6.0206 + 0.062, 0, "IEC 61672-1:2013, annex E: -6.02 dB at the double pole, C 0.062 dB", 0.001);
    expectClose(weightingDb("C", 12194.217), -6.0206 + 0.062, 0, "IEC 61672-1:2013, annex E: -6.02 dB at the double pole, C 0.062 dB", 0.001);
    expectClose(weightingDb("A", 1e6) - weightingDb("C", 1e6), 2 - 0.062, 0, "IEC 61672-1:2013, annex E: the constants 2.000 dB and 0.062 dB differ where only common poles are left", 0.001);
    expect(() => weightingDb("A", 0)).toThrow(/a frequency of 0 Hz; a positive frequency/);
  });
});

describe("bands of fractions of an octave", () => {
  test.each(fractional)("third octave of %s Hz: middle %s Hz, edges %s Hz and %s Hz", (nominal, middle, low, high) => {
    const found = octaveBands(3, [nominal * 0.95, nominal * 1.05])[0]!;
    expect(found.nominal).toBe(nominal);
    expectClose(found.middle, middle, 5e-6, bandsSource);
    expectClose(found.low, low, 5e-6, bandsSource);
    expectClose(found.high, high, 5e-6, bandsSource);
  });

  test("octaves, and even fractions", () => {
    expectClose(octaveRatio, 1.995262315, 1e-9, "IEC 61260-1:2014, 5.2.1: G = 10^(3/10)");
    const octaves = octaveBands(1, [15, 1100]);
    [15.8489, 31.6228, 63.0957, 125.893, 251.189, 501.187, 1000].forEach((middle, i) => expectClose(octaves[i]!.middle, middle, 5e-6, bandsSource));
    expect(octaves.map(({ nominal }) => nominal)).toEqual([16, 31.5, 63, 125, 250, 500, 1000]);
    for (const [parts, middle, low, high] of [[6, 66.8344, 63.0957, 70.7946], [12, 64.9382, 63.0957, 66.8344]] as const) {
      const band = octaveBands(parts, [63.2, 70])[0]!;
      expectClose(band.middle, middle, 5e-6, bandsSource);
      expectClose(band.low, low, 5e-6, bandsSource);
      expectClose(band.high, high, 5e-6, bandsSource);
    }
    expectClose(octaveBands(24, [63.2, 64.5])[0]!.middle, 64.0103, 5e-6, bandsSource);
  });

  test("bands meet, and nominal values are those of the standard over four decades", () => {
    const bands = octaveBands(3, [1, 20_000]);
    for (let i = 1; i < bands.length; i++) expect(bands[i]!.low).toBe(bands[i - 1]!.high);
    expect(bands.map(({ nominal }) => nominal).slice(0, 13)).toEqual([1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5, 16]);
    expect(bands.map(({ nominal }) => nominal).slice(-4)).toEqual([10_000, 12_500, 16_000, 20_000]);
    expect(() => octaveBands(5, [10, 100])).toThrow(/5 bands an octave/);
    expect(() => octaveBands(3, [0, 100])).toThrow(/positive range/);
  });
});
