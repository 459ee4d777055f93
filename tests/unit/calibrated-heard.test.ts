import { describe, expect, test } from "vitest";
import { calibrated, levelCalibration } from "../../kernel-helpers/words/calibration.js";
import { difference } from "../../kernel-helpers/words/combine-curves.js";
import { impulseFrom } from "../../kernel-helpers/words/impulse-from.js";
import { impulseTable } from "../../kernel-helpers/words/impulse-from-figures.js";
import { overlay } from "../../kernel-helpers/words/measure.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { closedBox } from "../../kernel-helpers/words/enclosures.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { responseFrom } from "../../kernel-helpers/words/response-from.js";
import { smoothed } from "../../kernel-helpers/words/smooth-align.js";
import { panelKind } from "../../kernel-helpers/show/ranges.js";
import type { Figure } from "../../kernel-helpers/show/view.js";
import { levelDb, makeCurve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { gatingGrid, makeGating } from "../../src/measure/gated-prediction.js";
import { clearBands, makeMeasuredResponse } from "../../src/measure/measured-response.js";
import { makeRecording } from "../../src/measure/recording.js";
import { responseOfSweep } from "../../src/measure/sweep-response.js";
import { biquad, played, recorded } from "../support/played-sweep.js";

const rate = 48000, signal = makeExponentialSweep({ from: 20, to: 2000, duration: 2, silence: 1 });
const chain = [biquad("high", { frequency: 45, Q: 0.9, rate }), biquad("low", { frequency: 1000, Q: 0.7, rate })];
const recording = recorded([played(signal, { chain, bend: (x) => x + 0.04 * x * x, noise: 2e-4 })], rate);
const grid = logGrid(10, 20_000, 200);
/** A microphone that falls by 6 dB an octave below 60 Hz, its phase not known. */
const capsule = { name: "capsule", sensitivity: undefined, incidence: 0 as const, fullScale: undefined, notes: [], response: makeCurve({ name: "capsule", quantity: "correction", unit: "ratio", frequencies: grid, re: grid.map((f) => 1 / Math.hypot(1, 60 / f)), im: new Float64Array(200), phaseKnown: false }) };
const tone = makeRecording({ name: "calibrator", sampleRate: rate, channels: [Float32Array.from({ length: rate }, (_, n) => 0.1 * Math.sin((2 * Math.PI * 1000 * n) / rate))], notes: [] });
const level = levelCalibration(tone, { level: "94 dB +- 0.3 dB", frequency: "1 kHz" });
const options = { microphone: capsule, level, drive: { signal, voltage: "2.83 V" } };
// trusted from 1 / 17.5 ms on
const gate = { gate: { to: "20 ms", fadeOut: "5 ms" } };

describe("calibrated, of what impulseFrom gave", () => {
  test("gives the same curve, noise and trust before and after responseFrom, and the calibrator's uncertainty", async () => {
    const heard = await impulseFrom(recording, signal, { window: "0.2 s", name: "yard" });
    const first = responseFrom(calibrated(heard, options), gate), last = calibrated(responseFrom(heard, gate), options) as typeof first;
    for (const [a, b] of [[first.curve.re, last.curve.re], [first.curve.im, last.curve.im], [first.signalToNoiseDb, last.signalToNoiseDb], [first.standardErrorDb!, last.standardErrorDb!]] as const) expect([...a]).toEqual([...b]);
    expect([...first.trusted!]).toEqual([...last.trusted!]);
    expect(first.trusted).toContain(1);
    expect(first.curve.unit).toBe("Pa");
    expect(first.steps).toEqual(last.steps);
    expect(first.steps).toHaveLength(2);
    expect(first.steps[1]).toBe("calibrated (microphone taken out, level by calibrator, at 2.83 V RMS)");
    // even between its ends: half width over the root of three, JCGM 100:2008 4.3.7
    expect(first.levelUncertaintyDb).toBeCloseTo(0.3 / Math.sqrt(3), 12);
    expect(last.levelUncertaintyDb).toBe(first.levelUncertaintyDb);
    // one after the other is as good
    const twice = responseFrom(calibrated(calibrated(heard, { microphone: capsule }), { level, drive: options.drive }), gate);
    levelDb(twice.curve).forEach((db, i) => expect(db).toBeCloseTo(levelDb(first.curve)[i]!, 9));
  });

  test("scales repeats, harmonics and the noise with the response", async () => {
    const heard = await impulseFrom(recording, signal, { window: "0.2 s" }), pressure = calibrated(heard, options);
    expect(pressure.repeats).toHaveLength(heard.repeats.length);
    expect(pressure.harmonics.map(({ response }) => response.unit)).toEqual(heard.harmonics.map(() => "Pa"));
    const frequencies = logGrid(30, 1500, 40), before = responseOfSweep(heard, frequencies), after = responseOfSweep(pressure, frequencies);
    // a microphone without phase rings a little beyond what is kept
    after.signalToNoiseDb.forEach((db, i) => expect(Math.abs(db - before.signalToNoiseDb[i]!), `${frequencies[i]} Hz`).toBeLessThan(0.5));
  });

  test("remarks stay where they are shown, the figure draws what is not trusted, and the gate is told from its ends", async () => {
    const heard = await impulseFrom(recording, signal, { window: "0.2 s", name: "yard" }), response = responseFrom(heard, gate), pressure = calibrated(response, options);
    expect(heard.notes.some(({ text }) => text.startsWith("time zero is"))).toBe(true);
    for (const thing of [response, pressure, smoothed(pressure, "1/6 octave")]) expect(thing.notes.map(({ text }) => text).join("\n")).not.toMatch(/time zero is|clock/);
    expect(response.notes.map(({ text }) => text).join("\n")).toMatch(/the gate keeps -\d+(\.\d)? ms to 20 ms, counted from the arrival/);
    const figure = pressure.views()[0] as Figure;
    expect(figure.panels[0]!.traces.map(({ role }) => role)).toEqual(["measurement", "faint"]);
    expect(figure.panels[0]!.bands?.[0]!.name).toBe("95 % uncertainty");
    expect(figure.panels[0]!.span?.name).toBe("trusted");
    expect(figure.subtitle).toContain("calibrated (");
    // what was not stated is said
    const unstated = calibrated(response, { ...options, level: levelCalibration(tone, { level: "94 dB", frequency: "1 kHz" }) });
    expect(unstated.levelUncertaintyDb).toBeUndefined();
    expect(unstated.notes.map(({ text }) => text).join("\n")).toContain("uncertainty of the calibrator was not stated");
    expect(() => levelCalibration(tone, { level: "94 dB +- 4 dB", frequency: "1 kHz" })).toThrow(/less than 3 dB/);
  });

  test("a harmonic that was not made is told to be noise, one that was is told with its size", async () => {
    const heard = await impulseFrom(recording, signal, { window: "0.2 s" }), rows = impulseTable(heard, signal).rows;
    const cell = (what: string): string => rows.find(([name]) => name!.startsWith(what))![1]!;
    // 0.04 A^2 / 2 over A at A = 0.5: 1 %, the closed form of sin^2
    expect(cell("second harmonic")).toMatch(/^-(39|40|41)(\.\d)? dB re fundamental/);
    expect(cell("fourth harmonic")).toMatch(/^not above the noise, which is -\d\d/);
    expect(cell("trusted")).toMatch(/^\S+ Hz to .*\(\d+ % of the octaves measured\)$|nearly all/);
  });

  test("a difference is drawn about zero, and still is after smoothing", async () => {
    const response = responseFrom(await impulseFrom(recording, signal, { window: "0.2 s" })), ratio = difference(response, response);
    for (const thing of [ratio, smoothed(ratio, "1/6 octave")]) expect(panelKind((thing.views()[0] as Figure).panels[0]!)).toBe("difference");
    expect(panelKind((response.views()[0] as Figure).panels[0]!)).toBe("level");
  });
});

describe("clearBands", () => {
  test("closes narrow gaps, leaves out narrow bands, and tells the part of the octaves", () => {
    const frequencies = logGrid(10, 10 * 2 ** 6, 6 * 24 + 1), at = (f: number): number => Math.log2(f / 10);
    // 1 octave from the third on with a gap of 1/24, and a single point at 4.5 octaves
    const marks = Uint8Array.from(frequencies, (f) => (at(f) > 1.99 && at(f) < 3.01 && Math.abs(at(f) - 2.5) > 0.01) || Math.abs(at(f) - 4.5) < 0.01 ? 1 : 0);
    const curve = makeCurve({ name: "x", quantity: "transfer", unit: "ratio", frequencies, re: frequencies.map(() => 1), im: new Float64Array(frequencies.length), phaseKnown: true });
    const { bands, share } = clearBands(makeMeasuredResponse({ curve, trusted: marks, signalToNoiseDb: frequencies.map(() => 20), notes: [] }));
    expect(bands).toHaveLength(1);
    expect(at(bands[0]![0])).toBeCloseTo(2, 6);
    expect(at(bands[0]![1])).toBeCloseTo(3, 6);
    // each of the 25 points stands for a step of a 24th of an octave: 24 in the band, the gap left out, and the single one
    expect(share).toBeCloseTo(25 / 24 / 6, 6);
  });
});

describe("overlay", () => {
  const box = closedBox({ driver: driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "0.3 N s/m", Bl: "3 T m", name: "invented" }), volume: "9 L", name: "box" });
  const yard = predict(box, { drive: "2.83 V", space: "half", distance: "1 m", frequencies: "10:400:300" }), band = ["40 Hz", "200 Hz"] as const;

  test("counts the calibrator where levels are not aligned: off by less than it is no deviation", () => {
    const { pressure } = yard, louder = makeCurve({ ...pressure, re: pressure.re.map((x) => x * 10 ** (0.25 / 20)), im: pressure.im.map((x) => x * 10 ** (0.25 / 20)) });
    const sure = { curve: louder, trusted: new Uint8Array(300).fill(1), standardErrorDb: new Float64Array(300).fill(0.01) };
    expect(overlay(sure, yard, { band }).inBand!.share).toBe(0);
    const uncertain = overlay({ ...sure, levelUncertaintyDb: 0.15 }, yard, { band });
    expect(uncertain.inBand!.share).toBe(1);
    expect(uncertain.inBand!.sentence).toContain("standard error and calibrator");
    expect(uncertain.notes.map(({ text }) => text).join()).toContain("known to 0.29 dB (95 %)");
    expect(overlay({ ...sure, levelUncertaintyDb: 0.15 }, yard, { band, align: band }).inBand!.measuredHalfDb[50]).toBeCloseTo(1.959964 * 0.01, 9);
  });

  test("gates a prediction as the measurement was", () => {
    const gate = { from: -0.05, to: 0.02, fadeIn: 0, fadeOut: 0.01 }, frequencies = logGrid(20, 300, 150), fine = predict(box, { drive: "2.83 V", space: "half", distance: "1 m", frequencies: [...gatingGrid(gate, 300)] });
    const { re, im } = makeGating(gate, { frequencies, grid: fine.frequencies, delay: 0 })(fine.pressure), curve = makeCurve({ ...fine.pressure, name: "measured", frequencies, re, im });
    expect(overlay({ curve }, yard, { band }).rmsDb).toBeGreaterThan(0.3);
    const alike = overlay({ curve, gate } as { curve: typeof curve }, yard, { band });
    expect(alike.rmsDb).toBeLessThan(0.03);
    expect(alike.notes.map(({ text }) => text).join()).toContain("the prediction was gated as the measurement was, from -50 ms to 20 ms");
  });
});
