import { describe, expect, it } from "vitest";
import { aligned, averaged, bandLevels, closedBox, difference, driver, excessPhase, nearField, overlay, predict, smoothed, space, spliced, sum, weighted } from "../../kernel-helpers/index.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { levelDb, makeCurve } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { octaveGrid } from "../../src/math/log-grid.js";
import { makeMeasuredResponse } from "../../src/measure/measured-response.js";
import { makeRecording } from "../../src/measure/recording.js";
import { scaledBy, turnedBy } from "../../src/measure/turn.js";
import { warning } from "../../src/notes.js";

const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" });
const yard = predict(closedBox({ driver: woofer, volume: "9 L", name: "box" }), { drive: "2.83 V", in: space.free("half"), distance: "1 m", frequencies: "10:1000:200" });
const grid = octaveGrid(12, 900, 40);
const { pressure } = yard;
/** The predicted box on other frequencies, as if it had been measured. */
const at = (frequencies: Float64Array, name = "measured"): Curve => {
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  frequencies.forEach((f, i) => {
    const x = f / 70, a = 1 - x * x, b = x / 0.8, size = (-0.5 * x * x) / (a * a + b * b);
    re[i] = size * a;
    im[i] = -size * b;
  });
  return makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies, re, im, phaseKnown: true });
};
const measured = at(grid);
const response = makeMeasuredResponse({ curve: measured, trusted: Uint8Array.from(grid, (f) => (f > 30 ? 1 : 0)), signalToNoiseDb: grid.map(() => 30), standardErrorDb: grid.map(() => 0.4), notes: [warning("measured", "the wind blew")] });
const figure = (thing: { readonly views: () => readonly unknown[] }): Figure => thing.views()[0] as Figure;

describe("operations chain", () => {
  it("and carry marks of trust, uncertainty, steps and warnings up to overlay", () => {
    const late = { ...response, curve: scaledBy(turnedBy(measured, 3e-3), 0.5) };
    const smooth = smoothed(late, "1/6 octave", { complex: true, delay: "3 ms" });
    const level = aligned(smooth, yard, { level: ["60 Hz", "300 Hz"], delay: ["40 Hz", "400 Hz"] });
    const final = weighted(level, "C");
    expect(final.steps.map((step) => step.split(":")[0]!.slice(0, 16))).toEqual(["complex average ", "aligned to box", "C-weighted"]);
    expect(final.trusted).toEqual(smooth.trusted);
    // trusted above 30 Hz, smoothed over 1/6 octave: the rise of 24 dB an octave puts the edge within 0.4/6 octave above it
    const edge = grid[final.trusted!.indexOf(1)]!;
    expect(edge).toBeGreaterThan(30);
    expect(edge).toBeLessThan(30 * 2 ** (0.4 / 6 + 1 / 40));
    expect(final.standardErrorDb).toEqual(response.standardErrorDb);
    expect(final.notes.filter(({ text }) => text === "the wind blew").length).toBe(1);
    expect(level.levelDb).toBeGreaterThan(-20);
    const laid = overlay(level, yard, { band: ["60 Hz", "300 Hz"] });
    expect(Math.abs(laid.meanDb)).toBeLessThan(0.1);
    expect(laid.inBand?.judged).toBeGreaterThan(10);
  });

  it("show themselves: level and phase, untrusted parts drawn faintly, the trusted span shaded", () => {
    const shown = figure(smoothed(response, "1/12 octave", { complex: true }));
    expect(shown.panels.map(({ quantity }) => quantity)).toEqual(["level", "phase"]);
    expect(shown.panels[0]!.traces.map(({ role }) => role)).toEqual(["comparison", "measurement", "faint"]);
    expect(shown.panels[0]!.span?.from).toBeGreaterThan(30);
    expect(shown.panels[0]!.bands?.[0]!.name).toBe("95 % uncertainty");
    // a power average has no phase
    expect(figure(smoothed(response, "1/12 octave")).panels.length).toBe(1);
    expect(smoothed(yard, "1/12 octave").name).toBe("box");
  });

  it("a sum and a difference keep trust and add errors by squares", () => {
    const ratio = difference(response, response);
    expect(ratio.standardErrorDb![3]).toBeCloseTo(0.4 * Math.SQRT2, 12);
    expect(ratio.trusted).toEqual(response.trusted);
    expect(figure(ratio).panels[0]!.unit).toBe("dB");
    const twice = sum(response, measured, { name: "both" });
    expect(twice.name).toBe("both");
    expect(twice.curve.re[9]).toBeCloseTo(2 * measured.re[9]!, 15);
    expect(twice.standardErrorDb).toBeUndefined();
    expect(sum(ratio, measured, ratio, { of: "levels" }).curve.unit).toBe("Pa");
  });

  it("averages tell their spread and coherence", () => {
    const louder = scaledBy(measured, 2);
    const seats = averaged([response, louder], { of: "positions", weights: [1, 1] });
    expect(seats.spreadDb![0]).toBeCloseTo(20 * Math.log10(2) * Math.SQRT1_2, 9);
    expect(seats.effectiveCount).toBe(2);
    expect(figure(seats).panels[0]!.bands?.[0]!.name).toContain("between positions");
    expect(seats.views().length).toBe(2);
    const repeats = averaged([measured, measured, measured], { of: "repeats" });
    expect(repeats.curve.re).toEqual(measured.re);
    expect(repeats.coherence![0]).toBe(1);
    // the spread between positions is what overlay judges against
    expect(overlay(seats, yard, { band: ["60 Hz", "300 Hz"], align: ["60 Hz", "300 Hz"] }).inBand).toBeDefined();
  });

  it("near field and splice", () => {
    const low = octaveGrid(12, 600, 40);
    const near = nearField({ cone: { curve: at(low, "cone"), area: "88 cm^2" }, openings: [{ curve: scaledBy(at(low, "port"), 0.2), diameter: "50 mm" }], distance: "1 m" });
    expect(near.validTo).toBeCloseTo(343.2 / (2 * Math.PI * Math.sqrt(88e-4 / Math.PI)), 6);
    expect(near.factors[0]).toBeCloseTo(Math.sqrt(88e-4 / Math.PI) / 2, 12);
    expect(near.trusted!.every((mark) => mark === 1)).toBe(true);
    expect(near.parts.length).toBe(2);
    // a large cone is valid only up to 273 Hz: drawn as a span
    const span = figure(nearField({ cone: { curve: at(low, "cone"), diameter: "0.4 m" } })).panels[0]!.span!;
    expect(span.name).toBe("valid, ka below 1");
    expect(span.to).toBeLessThanOrEqual(343.2 / (2 * Math.PI * 0.2));
    const far = { ...response, curve: scaledBy(measured, 0.3) };
    const whole = spliced(near, far, { at: "120 Hz", over: "1/3 octave" });
    expect(whole.steps.length).toBe(2);
    expect(whole.trusted!.every((mark) => mark === 1)).toBe(true);
    expect(whole.blend[0]).toBeCloseTo(120 * 2 ** (-1 / 6), 9);
    expect(whole.curve.frequencies[0]).toBe(12);
    const both = nearField({ cone: { curve: response, diameter: "0.4 m" }, space: "full" });
    expect(both.trusted![grid.findIndex((f) => f > 300)]).toBe(0);
    expect(both.views().length).toBe(2);
    // blended where ka is above 1, which is told
    expect(spliced(nearField({ cone: { curve: at(low, "cone"), diameter: "0.6 m" } }), measured, { at: "180 Hz" }).notes.some(({ severity, text }) => severity === "warning" && text.includes("not trusted"))).toBe(true);
    expect(whole.notes.some(({ text }) => text.includes("not trusted"))).toBe(false);
    // the trust of the measurement counts where it is asked: below 30 Hz it says no
    expect(spliced(both, measured, { at: "120 Hz" }).trusted![0]).toBe(0);
  });

  it("near field, splice and averages carry uncertainty and trust of what they were made of", () => {
    const sure = (curve: Curve, error: number, edge = 0): typeof response => makeMeasuredResponse({ curve, trusted: Uint8Array.from(curve.frequencies, (f) => (f > edge ? 1 : 0)), signalToNoiseDb: curve.frequencies.map(() => 30), standardErrorDb: curve.frequencies.map(() => error), notes: [] });
    const low = octaveGrid(12, 900, 40), second = (by: number): Curve => scaledBy(at(low, "port"), by);
    // two radiators in phase with factors of the same size, the second half as strong: parts of 2/3 and 1/3
    const near = nearField({ cone: { curve: sure(at(low, "cone"), 0.6), area: "200 cm^2" }, openings: [{ curve: sure(second(0.5), 0.9, 30), area: "200 cm^2" }] });
    expect(near.standardErrorDb![50]).toBeCloseTo(Math.hypot(0.4, 0.3), 9);
    // trusted where both the method holds and both curves are trusted
    near.curve.frequencies.forEach((f, i) => expect(near.trusted![i], `${f} Hz`).toBe(f > 30 && f <= near.validTo ? 1 : 0));
    expect(near.trusted!.includes(1) && near.validTo < 900).toBe(true);
    expect(near.notes.some(({ text }) => text.includes("added by their squares"))).toBe(true);
    const half = nearField({ cone: { curve: sure(at(low, "cone"), 0.6), area: "88 cm^2" }, openings: [{ curve: second(0.5), area: "88 cm^2" }] });
    expect(half.standardErrorDb![50]).toBeCloseTo(0.4, 9);
    expect(half.notes.some(({ text }) => text === 'no uncertainty is known of "port": it counts as none')).toBe(true);

    const joined = spliced(sure(at(octaveGrid(12, 300, 40), "near"), 0.2), sure(at(octaveGrid(60, 900, 40), "far"), 0.8), { at: "120 Hz", over: "1 octave" });
    const errorAt = (f: number): number => joined.standardErrorDb![joined.curve.frequencies.findIndex((x) => x >= f)]!;
    expect(errorAt(20)).toBeCloseTo(0.2, 9);
    expect(errorAt(600)).toBeCloseTo(0.8, 9);
    const middle = joined.curve.frequencies.findIndex((x) => x >= 120);
    expect(Math.abs(joined.standardErrorDb![middle]! - Math.hypot(0.1, 0.4))).toBeLessThan(0.03);

    // two alike: no spread, and errors of 0.6 dB with half a part each
    const seats = averaged([sure(at(low, "a"), 0.6), sure(at(low, "b"), 0.6)], { of: "positions" });
    expect(seats.standardErrorDb![9]).toBeCloseTo(0.6 / Math.SQRT2, 9);
    const weights = averaged([sure(at(low, "a"), 0.6), sure(at(low, "b"), 0.6)], { of: "positions", weights: [1e308, 1e308] });
    expect(weights.standardErrorDb![9]).toBeCloseTo(0.6 / Math.SQRT2, 9);
    expect(figure(seats).panels.length).toBe(1);
    expect((seats.views()[1] as Figure).panels[0]!.range![0]).toBe(0);
    // of repeats: not trusted where one of them is not
    const again = averaged([sure(at(low, "a"), 0.1, 40), sure(at(low, "b"), 0.1)], { of: "repeats" });
    again.curve.frequencies.forEach((f, i) => expect(again.trusted![i]).toBe(f > 40 ? 1 : 0));
    expect((again.views()[1] as Figure).panels[0]!.unit).toBe("no unit");
  });

  it("band levels carry trust and warnings", async () => {
    const levels = await bandLevels(response);
    levels.bands.forEach(({ low, high }, b) => expect(levels.trusted![b], `${low}`).toBe(low > 30 ? 1 : high < 30 ? 0 : levels.trusted![b]));
    expect(levels.trusted!.includes(0) && levels.trusted!.includes(1)).toBe(true);
    expect(levels.notes.map(({ text }) => text).join()).toMatch(/bands are not trusted[\s\S]*uncertainty of the curve was not carried over[\s\S]*the wind blew/);
    expect(figure(levels).panels[0]!.traces.map(({ role }) => role)).toEqual(["measurement", "faint"]);
    expect((levels.views()[1] as Table).columns).toContain("trusted");
    expect((await bandLevels(measured)).trusted).toBeUndefined();
    const recording = { ...makeRecording({ name: "seat", sampleRate: 8000, channels: [Float32Array.from({ length: 16_000 }, (_, n) => 0.1 * Math.sin(n))], notes: [] }), notes: [warning("seat", "channel 1 is clipped")] };
    expect((await bandLevels(recording)).notes.map(({ text }) => text)).toContain("channel 1 is clipped");
    await expect(bandLevels(measured, { range: ["100 Hz", "50 Hz"] })).rejects.toThrow(/^bandLevels\.range: 100 Hz to 50 Hz; two frequencies in ascending order/);
    await expect(bandLevels({ ...recording, channels: [] })).rejects.toThrow(/a recording without channels; one channel/);
    await expect(bandLevels({ ...recording, channels: [new Float32Array(10)] })).rejects.toThrow(/^bandLevels: 10 samples of sound/);
  });

  it("aligned says which way, and a second weighting is warned of", () => {
    const away = aligned(turnedBy(measured, -0.865e-3), measured, { delay: ["40 Hz", "400 Hz"] });
    expect(away.steps.join()).toMatch(/made later by 865 us|made later by 0\.865 ms/);
    expect(aligned(measured, measured, { delay: ["40 Hz", "400 Hz"] }).steps.join()).toContain("no delay taken out");
    const twice = weighted(weighted(measured, "A"), "A");
    expect(twice.notes.filter(({ severity }) => severity === "warning").map(({ text }) => text).join()).toContain("it was A-weighted already");
    expect(weighted(weighted(measured, "A"), "Z").notes.some(({ text }) => text.includes("already"))).toBe(false);
    const impedance = makeCurve({ ...measured, quantity: "electrical impedance", unit: "ohm" });
    expect(() => aligned(impedance, measured, { delay: ["40 Hz", "400 Hz"] })).toThrow(/aligned: electrical impedance \(ohm\) and sound pressure \(Pa\); two curves of the same quantity/);
    expect(() => excessPhase(impedance)).toThrow(/excessPhase: "measured", an impedance; a sound pressure/);
    expect(() => aligned(measured, measured, { level: ["1 Hz", "2 Hz"] })).toThrow(/^aligned\.level: a band from 1 Hz to 2 Hz/);
    expect(() => aligned({ ...measured, phaseKnown: false }, measured, { delay: ["40 Hz", "400 Hz"] })).toThrow(/^aligned\.delay: "measured" has no phase/);
    expect(() => smoothed(measured, "0")).toThrow('smoothed.width: "0"; a fraction of an octave is expected, such as "1/12 octave".');
  });

  it("a weighting leaves the phase, which is drawn once", () => {
    expect(figure(weighted(measured, "Z")).panels[1]!.traces.length).toBe(1);
    expect(figure(smoothed(turnedBy(measured, 1e-3), "1/3 octave", { complex: true })).panels[1]!.traces.length).toBe(2);
  });

  it("excess phase gives minimum phase as a curve", () => {
    const parts = excessPhase(turnedBy(measured, 2e-3), { slopeBelow: "12.04 dB", slopeAbove: 0 });
    expect(parts.delay).toBeCloseTo(2e-3, 5);
    expect(parts.slopes).toEqual([12.04, 0]);
    expect(levelDb(parts.curve)[20]).toBeCloseTo(levelDb(measured)[20]!, 9);
    expect(overlay(parts, yard, { band: ["60 Hz", "300 Hz"], align: ["60 Hz", "300 Hz"] }).rmsDb).toBeLessThan(3);
    expect(figure(parts).panels.length).toBe(3);
    // of a response that is trusted above 30 Hz, only that part
    const sure = excessPhase(response);
    expect(sure.frequencies[0]).toBe(grid.find((f) => f > 30));
    expect(sure.trusted!.includes(0)).toBe(false);
    expect(sure.notes.map(({ text }) => text).join()).toContain("only its trusted part");
    expect(() => excessPhase({ ...response, trusted: new Uint8Array(grid.length) })).toThrow(/0 points in its trusted part/);
  });

  it("levels relative to full scale stay that until they are aligned", () => {
    const relative = { curve: measured, relativeTo: "full scale", notes: [] };
    const smooth = smoothed(relative, "1/3 octave");
    expect(smooth.relativeTo).toBe("full scale");
    expect(figure(smooth).panels[0]!.unit).toBe("dB re full scale");
    expect(aligned(smooth, yard, { level: ["60 Hz", "300 Hz"] }).relativeTo).toBeUndefined();
    expect(() => sum(relative, measured)).toThrow(/relative to full scale and to 20 uPa/);
    expect(difference(relative, measured).notes.map(({ text }) => text).join()).toContain("the height of the difference means nothing");
    expect(() => averaged([relative, measured], { of: "positions" })).toThrow(/relative to the same/);
    expect(() => nearField({ cone: { curve: relative, diameter: "0.2 m" }, openings: [{ curve: measured, diameter: "0.1 m" }] })).toThrow(/relative to the same/);
    expect(() => spliced(relative, measured, { at: "120 Hz", level: "as they are" })).toThrow(/no height in common/);
  });
});

describe("band levels", () => {
  const sampleRate = 8000;
  const tone = makeRecording({ name: "tone", sampleRate, channels: [new Float32Array(40_000), Float32Array.from({ length: 40_000 }, (_, n) => Math.sin((2 * Math.PI * 1000 * n) / sampleRate))], notes: [] });

  it("of a channel of a recording, calibrated", async () => {
    const found = await bandLevels(tone, { channel: 2, calibration: 2, weighting: "A" });
    // 2 Pa peak is 1.414 Pa RMS, 96.99 dB; A is 0 dB at 1 kHz
    expect(found.totalDb).toBeCloseTo(96.99, 2);
    const table = found.views()[1] as Table;
    expect(table.rows.find((row) => row[0] === "1 kHz")![3]).toBe("96.99 dB");
    expect((await bandLevels(tone, { channel: 2, calibration: { pascalPerFullScale: 2 } })).totalDb).toBeCloseTo(96.99, 2);
    expect((await bandLevels(tone, {})).totalDb).toBe(-Infinity);
    expect((await bandLevels(tone, { channel: 2 })).reference).toBe("full scale");
  });

  it("of a response, and of a prediction", async () => {
    const found = await bandLevels(yard, { bands: "1 octave" });
    expect(found.bands.map(({ nominal }) => nominal)).toEqual([16, 31.5, 63, 125, 250, 500]);
    expect(figure(found).panels[0]!.unit).toBe("dB re 20 uPa");
    expect((found.views()[1] as Table).columns.length).toBe(4);
    expect(Math.max(...found.levelDb)).toBeLessThan(Math.max(...levelDb(pressure)));
  });

  it("refuses wrong options", async () => {
    await expect(bandLevels(tone, { channel: 3 })).rejects.toThrow(/a channel from 1 to 2/);
    await expect(bandLevels(tone, { bands: "1/5 octave" })).rejects.toThrow(/bandLevels.bands: "1\/5 octave"/);
    await expect(bandLevels(tone, { wieghting: "A" } as never)).rejects.toThrow(/did you mean "weighting"\?/);
    await expect(bandLevels(measured, { channel: 1 })).rejects.toThrow(/a channel for a curve/);
    await expect(bandLevels(tone, { calibration: "loud" as never })).rejects.toThrow(/bandLevels.calibration: "loud"/);
    await expect(bandLevels(tone, { weighting: "B" as never })).rejects.toThrow(/"A", "C", "Z"/);
  });
});

describe("wrong options", () => {
  it.each([
    ["smoothed key", () => smoothed(measured, "1/3 octave", { complx: true } as never), /no option "complx"; did you mean "complex"\?/],
    ["smoothed width", () => smoothed(measured, "third"), /smoothed.width: "third"/],
    ["smoothed none", () => smoothed(measured, "none"), /fraction of an octave/],
    ["smoothed flag", () => smoothed(measured, "1/3 octave", { complex: 1 as never }), /true or false/],
    ["delay without complex", () => smoothed(measured, "1/3 octave", { delay: "1 ms" }), /complex: true is expected/],
    ["a promise", () => smoothed(Promise.resolve(measured) as never, "1/3 octave"), /not finished/],
    ["no curve", () => smoothed(7 as never, "1/3 octave"), /smoothed, measurement: 7/],
    ["aligned key", () => aligned(measured, yard, { levl: ["30 Hz", "90 Hz"] } as never), /did you mean "level"\?/],
    ["aligned nothing", () => aligned(measured, yard, {}), /neither a band/],
    ["aligned method", () => aligned(measured, yard, { delay: ["30 Hz", "90 Hz"], method: "eye" as never }), /aligned.method/],
    ["weighting", () => weighted(measured, "D" as never), /"A", "C", "Z"/],
    ["excess key", () => excessPhase(measured, { slopeBelw: 3 } as never), /did you mean "slopeBelow"\?/],
    ["excess slope", () => excessPhase(measured, { slopeBelow: "12 Hz" }), /excessPhase.slopeBelow/],
    ["near key", () => nearField({ con: {} } as never), /did you mean "cone"\?/],
    ["near cone key", () => nearField({ cone: { curve: measured, diametre: "1 cm" } as never }), /did you mean "diameter"\?/],
    ["near no size", () => nearField({ cone: { curve: measured } }), /neither diameter nor area/],
    ["near two sizes", () => nearField({ cone: { curve: measured, area: "1 cm^2", diameter: "1 cm" } }), /both diameter and area/],
    ["near openings", () => nearField({ openings: 3 as never }), /square brackets/],
    ["near nothing", () => nearField({}), /no radiator/],
    ["near space", () => nearField({ cone: { curve: measured, diameter: "10 cm" }, space: "third" as never }), /nearField.space/],
    ["spliced key", () => spliced(measured, measured, { att: "120 Hz" } as never), /did you mean "at"\?|no option "att"/],
    ["spliced width", () => spliced(measured, measured, { at: "120 Hz", over: "none" }), /spliced.over/],
    ["difference key", () => difference(measured, measured, { off: "levels" } as never), /no option "off"/],
    ["sum of one", () => sum(measured), /one curve/],
    ["sum of nothing", () => sum(), /no curve/],
    ["sum of a stray thing", () => sum(measured, { nam: "x" } as never), /sum, curve 2/],
    ["averaged list", () => averaged(measured as never, { of: "positions" }), /square brackets/],
    ["averaged kind", () => averaged([measured, measured], { of: "places" as never }), /averaged.of/],
    ["averaged weights of repeats", () => averaged([measured, measured], { of: "repeats", weights: [1, 2] }), /for positions only/],
    ["averaged weights that are no list", () => averaged([measured, measured], { of: "positions", weights: 3 as never }), /averaged.weights: 3/],
    ["averaged nothing", () => averaged([], { of: "positions" }), /no curve/],
    ["spliced without a place", () => spliced(measured, measured, {} as never), /spliced.at/],
    ["aligned without options", () => aligned(measured, yard, undefined as never), /aligned: nothing came/],
    ["averaged key", () => averaged([measured, measured], { fo: "repeats" } as never), /no option "fo"/],
  ])("%s", (_, run, message) => expect(run).toThrow(message));
});
