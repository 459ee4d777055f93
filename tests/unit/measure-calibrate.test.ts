import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { levelDb, makeCurve, referencePressure, wrappedPhase } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { applyCorrection } from "../../src/measure/calibrate.js";

function flat(db: number, frequencies: Float64Array, phase?: number): Curve {
  const size = referencePressure * 10 ** (db / 20);
  return makeCurve({ name: "swept", quantity: "sound pressure", unit: "Pa", frequencies, re: frequencies.map(() => size * Math.cos(phase ?? 0)), im: frequencies.map(() => size * Math.sin(phase ?? 0)), phaseKnown: phase !== undefined });
}
function deviation(frequencies: Float64Array, db: readonly number[], phase?: readonly number[]): Curve {
  const size = db.map((value) => 10 ** (value / 20));
  return makeCurve({ name: "mic", quantity: "correction", unit: "ratio", frequencies, re: Float64Array.from(size, (s, i) => s * Math.cos(phase?.[i] ?? 0)), im: Float64Array.from(size, (s, i) => s * Math.sin(phase?.[i] ?? 0)), phaseKnown: phase !== undefined });
}

describe("microphone correction", () => {
  it("is subtracted, straight in dB over log f", () => {
    // halfway between 10 and 1000 Hz over log f is 100 Hz: deviation -1 dB there, so 91 dB
    const { curve, notes } = applyCorrection(flat(90, Float64Array.of(10, 100, 1000)), deviation(Float64Array.of(10, 1000), [-4, 2]));
    const level = levelDb(curve);
    [94, 91, 88].forEach((wanted, i) => expect(level[i]).toBeCloseTo(wanted, 11));
    expect(notes.map((note) => note.severity)).toEqual(["remark"]);
    expect(notes[0]!.text).toMatch(/"mic" was subtracted as deviation of the microphone from flat/);
  });

  it("holds the end values outside its range and warns with the range", () => {
    const { curve, notes } = applyCorrection(flat(90, Float64Array.of(5, 20, 500, 3000)), deviation(Float64Array.of(20, 1000), [-4, 2]));
    const level = levelDb(curve);
    expect(level[0]).toBeCloseTo(94, 11);
    expect(level[3]).toBeCloseTo(88, 11);
    const warnings = notes.filter((note) => note.severity === "warning").map((note) => note.text);
    expect(warnings).toHaveLength(2);
    expect(warnings[0]).toMatch(/from 5 to 20 Hz .* its value at 20 Hz was held/);
    expect(warnings[1]).toMatch(/from 1000 to 3000 Hz .* its value at 1000 Hz was held/);
  });

  it("takes the phase off where both know theirs, else leaves it", () => {
    const mic = deviation(Float64Array.of(10, 1000), [0, 0], [0.5, 0.1]);
    const both = applyCorrection(flat(90, Float64Array.of(10, 100, 1000), 1), mic);
    Array.from(wrappedPhase(both.curve)).forEach((phase, i) => expect(phase).toBeCloseTo([0.5, 0.7, 0.9][i]!, 12));
    expect(both.notes.some((note) => /phase of "mic" was subtracted too/.test(note.text))).toBe(true);
    const one = applyCorrection(flat(90, Float64Array.of(10, 100, 1000)), mic);
    expect(one.curve.phaseKnown).toBe(false);
    expect(Array.from(one.curve.im)).toEqual([0, 0, 0]);
  });

  it("refuses a curve that is no correction", () => {
    const curve = flat(90, Float64Array.of(10, 100));
    expect(() => applyCorrection(curve, curve)).toThrow(InputError);
    expect(() => applyCorrection(curve, makeCurve({ ...deviation(Float64Array.of(10, 100), [0, 0]), re: new Float64Array(2) }))).toThrow(/factor of zero/);
  });
});
