import { describe, expect, it } from "vitest";
import { FileError, InputError } from "../../src/errors.js";
import { readUnit } from "../../src/measure/column-units.js";
import { readHeading } from "../../src/measure/column-words.js";
import { isBlankCell, readNumber } from "../../src/measure/numbers.js";
import { parseSweep } from "../../src/measure/sweep.js";
import type { ParseSweepOptions } from "../../src/measure/sweep.js";

const parse = (text: string, options: Partial<ParseSweepOptions> = {}) => parseSweep(new TextEncoder().encode(text), { file: "test.csv", ...options });

describe("headings", () => {
  it.each([
    ["frequency (Hz)", "frequency", "Hz"], ["Freq[kHz]", "frequency", "kHz"], ["f / Hz", "frequency", "Hz"], ["Frequency, Hz", "frequency", "Hz"], ["freq_Hz", "frequency", "Hz"],
    ["Frequenz in Hz", "frequency", "Hz"], ["freqHz", "frequency", "Hz"], ["Hz", "frequency", "Hz"], ["Fr\u00e9quence", "frequency", undefined], ["w (rad/s)", "frequency", "rad/s"],
    ["frequency response (dB)", "level", "dB"], ["SPL", "level", undefined], ["dB", "level", "dB"], ["dB Magnitude", "level", "dB"], ["Level / dB re 20 \u00b5Pa", "level", "dB re 20 uPa"],
    ["level re 20 uPa", "level", "dB re 20 uPa"], ["Pegel dB(A)", "level", "dB(A)"], ["sound pressure level [dB SPL]", "level", "dB"], ["left (dB)", "level", "dB"], ["sound pressure (Pa)", "pressure", "Pa"],
    ["mag", "magnitude", undefined], ["amplitude (dBFS)", "level", "dBFS"], ["phase of impedance (\u00b0)", "phase", "degrees"], ["phi/rad", "phase", "radians"], ["Impedance phase (deg)", "phase", "degrees"],
    ["|Z| (\u2126)", "impedance", "ohm"], ["Z", "impedance", undefined], ["Impedanz/kOhm", "impedance", "kohm"], ["Re(Z) (ohm)", "real", "ohm"], ["im", "imaginary", undefined], ["R (ohm)", "real", "ohm"], ["X (ohm)", "imaginary", "ohm"],
    ["deviation (dB)", "correction", "dB"], ["Korrektur [dB]", "correction", "dB"], ["group delay (ms)", "other", undefined], ["THD (dB)", "other", "dB"], ["remark", "other", undefined], ["phase 2 (deg)", "phase", "degrees"], ["SPL2 (dB)", "level", "dB"],
  ])("%s", (heading, kind, unit) => {
    const meaning = readHeading(heading);
    expect(meaning.kind).toBe(kind);
    expect(meaning.unit?.symbol).toBe(unit);
  });

  it("keeps a unit it does not know apart", () => {
    expect(readHeading("frequency (rpm)").foreign).toBe("rpm");
    expect(readUnit("MOhm")).toBeUndefined();
    expect(readUnit("mohm")!.factor).toBe(1e-3);
  });
});

describe("numbers in cells", () => {
  const point = { decimal: "point", spaceGroups: true } as const;
  const comma = { decimal: "comma", spaceGroups: true } as const;
  it.each([
    ["20", 20, 20], ["20.5", 20.5, undefined], ["20,5", undefined, 20.5], [".5", 0.5, undefined], ["20.", 20, undefined], ["20,", undefined, undefined], ["+3", 3, 3], ["\u22123", -3, -3], ["1e3", 1000, 1000], ["1.5D-02", 0.015, undefined],
    ["1e\u22123", 0.001, 0.001], ["1,000", 1000, 1], ["1.000", 1, 1000], ["1,234.5", 1234.5, undefined], ["1.234,5", undefined, 1234.5], ["1'000", 1000, 1000], ["1 000", 1000, 1000], ["1 00", undefined, undefined], ["12,34.5", undefined, undefined],
    ["0x10", undefined, undefined], ["1e", undefined, undefined], ["--3", undefined, undefined], ["", undefined, undefined], ["20 Hz", undefined, undefined], ["1_000", undefined, undefined],
  ])("%s", (cell, asPoint, asComma) => {
    expect(readNumber(cell, point)).toBe(asPoint);
    expect(readNumber(cell, comma)).toBe(asComma);
  });

  it("knows blanks", () => {
    for (const cell of ["", "-", "--", "n/a", "N/A", "NaN", "-nan(ind)", "#N/A", "null", "1.#QNAN"]) expect(isBlankCell(cell), cell).toBe(true);
    for (const cell of ["0", "loud", "inf", "nan5", "3-"]) expect(isBlankCell(cell), cell).toBe(false);
  });
});

describe("choosing columns", () => {
  const two = "freq (Hz),mag1 (dB),ph1 (deg),mag2 (dB),ph2 (deg)\n20,80,10,60,-10\n40,81,20,61,-20\n";

  it("phase goes with its level, in pairs or in two blocks", () => {
    const second = parse(two, { columns: { value: "mag2 (dB)" } });
    expect(Math.atan2(second.curve.im[0]!, second.curve.re[0]!)).toBeCloseTo((-10 * Math.PI) / 180, 12);
    const blocks = "freq (Hz),mag1 (dB),mag2 (dB),ph1 (deg),ph2 (deg)\n20,80,60,10,-10\n40,81,61,20,-20\n";
    const first = parse(blocks);
    expect(Math.atan2(first.curve.im[0]!, first.curve.re[0]!)).toBeCloseTo((10 * Math.PI) / 180, 12);
  });

  it("a phase that may belong to either level is not taken", () => {
    const sweep = parse("freq (Hz),left (dB),right (dB),phase (deg)\n20,80,60,10\n40,81,61,20\n");
    expect(sweep.curve.phaseKnown).toBe(false);
    expect(sweep.notes.some((note) => note.severity === "warning" && /cannot be told/.test(note.text))).toBe(true);
  });

  it("by heading, by the start of a heading, by place; wrong ones are refused", () => {
    for (const value of ["mag2 (dB)", "MAG2", 4]) expect(parse(two, { columns: { value } }).columns[1]).toBe("level (dB re 20 uPa)");
    for (const value of ["mag", "mag3", 0, 6, 1.5]) expect(() => parse(two, { columns: { value } })).toThrow(InputError);
    expect(() => parse(two, { columns: { value: 1 } })).toThrow(InputError);
  });

  it("a forced quantity decides and is checked against the unit", () => {
    const both = "f (Hz),SPL (dB),Z (ohm)\n20,80,5\n40,81,6\n";
    expect(parse(both).curve.quantity).toBe("sound pressure");
    expect(parse(both, { quantity: "electrical impedance" }).curve.re[1]).toBe(6);
    expect(() => parse("f (Hz),SPL (dB)\n20,80\n40,81\n", { quantity: "electrical impedance" })).toThrow(FileError);
    expect(parse("f (Hz),x\n20,2\n40,3\n", { columns: { value: "x" }, quantity: "cone displacement", unit: "mm" }).curve.re[0]).toBeCloseTo(0.002, 15);
    expect(() => parse("f (Hz),x\n20,2\n40,3\n", { columns: { value: "x" }, unit: "furlong" })).toThrow(InputError);
  });

  it("refuses more than two million rows by its lines", () => {
    expect(() => parse("1\n".repeat(2_200_000))).toThrow(/at most 2000000 rows/);
  });
});
