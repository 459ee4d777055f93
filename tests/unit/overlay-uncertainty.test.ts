import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { type Curve, makeCurve, referencePressure } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { randomNumbers } from "../../src/math/random.js";
import { overlay as overlayCurves } from "../../src/measure/overlay.js";
import { delayOf } from "../../src/measure/overlay-phase.js";
import { errorAt, levelCorrelation, trustAt } from "../../src/measure/overlay-uncertainty.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { overlay } from "../../kernel-helpers/words/measure.js";
import { closedBox } from "../../kernel-helpers/words/enclosures.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { uncertain } from "../../kernel-helpers/words/spread.js";
import { expectClose } from "../support/close.js";

const frequencies = logGrid(20, 200, 400), band = [30, 150] as const;
const curve = (name: string, level: (f: number, i: number) => number, phase?: (f: number) => number): Curve => {
  const size = frequencies.map((f, i) => referencePressure * 10 ** (level(f, i) / 20));
  const angle = frequencies.map((f) => phase?.(f) ?? 0);
  return makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies, re: size.map((s, i) => s * Math.cos(angle[i]!)), im: size.map((s, i) => s * Math.sin(angle[i]!)), phaseKnown: phase !== undefined });
};
const shape = (f: number): number => 90 + 5 * Math.sin(f / 30);

describe("the uncertainty of an overlay", () => {
  it("95 of 100 points lie within 95 % where the deviation is just that noise, and the sentence says so", () => {
    const random = randomNumbers(1), noise = Array.from(frequencies, () => normalQuantile(random.uniform()));
    const measured = curve("measured", (f, i) => shape(f) + 0.5 * noise[i]!), standardErrorDb = new Float64Array(400).fill(0.5);
    const result = overlayCurves(measured, curve("predicted", shape), { band, measured: { frequencies, standardErrorDb }, perOctave: 120 });
    // 95 % of a normal distribution within 1.96 standard deviations: JCGM 100:2008, table G.1; 280 points, between which straight lines run
    expect(result.inBand!.share!).toBeGreaterThan(0.92);
    expect(result.inBand!.share!).toBeLessThan(0.995);
    expect(result.inBand!.sentence).toMatch(/^9\d % of the band lies within the 95 % uncertainty of the measurement \(standard error\): the prediction agrees with the measurement as far as both are known\.$/);
    expectClose(result.inBand!.allowed.highDb[5]!, 1.959964 * 0.5, 1e-6, "JCGM 100:2008, table G.1");
  });

  it("half widths of measurement and prediction are added by squares, on the side where the deviation lies", () => {
    const standardErrorDb = new Float64Array(400).fill(1 / 1.959964);
    const of = (shift: number): number => {
      const spread = [curve("low", (f) => shape(f) - 2), curve("high", (f) => shape(f) + 0.5)] as const;
      return overlayCurves(curve("m", (f) => shape(f) + shift), curve("p", shape), { band, measured: { frequencies, standardErrorDb }, spread }).inBand!.share!;
    };
    // sqrt(1 + 4) = 2.236 dB below, sqrt(1 + 0.25) = 1.118 dB above: JCGM 100:2008, 5.1.2
    expect([of(-2.2), of(-2.3), of(1.1), of(1.2)]).toEqual([1, 0, 1, 0]);
  });

  it("what is not trusted is left out of the verdict, warned of and drawn as a line of its own; the figures of the deviation stay", () => {
    const spoiled = curve("m", (f) => shape(f) + (f < 50 ? 10 : 0)), trusted = Uint8Array.from(frequencies, (f) => (f < 50 ? 0 : 1)), standardErrorDb = new Float64Array(400).fill(0.1);
    const plain = overlay({ curve: spoiled }, curve("p", shape), { band: ["30 Hz", "150 Hz"] });
    const marked = overlay({ curve: spoiled, trusted, standardErrorDb } as never, curve("p", shape), { band: ["30 Hz", "150 Hz"] });
    expect([marked.rmsDb, marked.meanDb, marked.largestDb]).toEqual([plain.rmsDb, plain.meanDb, plain.largestDb]);
    expect([...marked.residualDb]).toEqual([...plain.residualDb]);
    const turning = overlay({ curve: curve("m", shape, (f) => f < 50 ? 40 * f : 0), trusted } as never, curve("p", shape, () => 0), { band: ["60 Hz", "150 Hz"], phase: true }).views()[0] as Figure;
    for (const panel of turning.panels.slice(2)) expect(panel.traces[0]!.y.every((y, i) => Number.isFinite(y) === (marked.frequencies[i]! > 50.2) || Math.abs(panel.traces[0]!.x[i]! - 50) < 1)).toBe(true);
    expect(new Set(turning.notes!.map((note) => note.text)).size).toBe(turning.notes!.length);
    expect(plain.inBand).toBeUndefined();
    expect(marked.inBand!.share).toBe(1);
    expect(marked.inBand!.judged).toBeLessThan(marked.inBand!.count);
    expect(marked.notes.filter((note) => note.severity === "warning").map((note) => note.text)).toEqual([expect.stringMatching(/points of the band are not trusted/)]);
    const [figure, table] = marked.views() as [Figure, Table];
    expect(figure.panels[0]!.traces.map((t) => t.role)).toEqual(["measurement", "faint", "prediction"]);
    const [solid, faint] = figure.panels[0]!.traces;
    marked.trusted.forEach((t, i) => {
      expect(Number.isFinite(solid!.y[i]!)).toBe(t === 1);
      if (t === 0) expect(Number.isFinite(faint!.y[i]!)).toBe(true);
    });
    expect(figure.panels[0]!.bands!.map((b) => b.name)).toEqual(["95 % of the measurement"]);
    expect(figure.panels[1]!.bands).toHaveLength(1);
    expect(table.rows.map((row) => row[0])).toEqual(["root mean square", "mean", "largest", "shift of the measurement", "within the 95 % uncertainty of both", "correlation of the levels", "verdict"]);
    expect((plain.views() as [Figure])[0].panels[0]!.bands).toBeUndefined();
  });

  it("all of it not trusted says that nothing can be said; an unknown error allows anything", () => {
    const nothing = overlayCurves(curve("m", shape), curve("p", shape), { band, measured: { frequencies, trusted: new Uint8Array(400), standardErrorDb: new Float64Array(400).fill(0.1) } });
    expect(nothing.inBand!.share).toBeUndefined();
    expect(nothing.inBand!.sentence).toMatch(/^No point of the band is trusted/);
    const open = overlayCurves(curve("m", (f) => shape(f) + 30), curve("p", shape), { band, measured: { frequencies, standardErrorDb: new Float64Array(400).fill(Infinity) } });
    expect([open.inBand!.share, open.inBand!.judged, open.inBand!.verdict]).toEqual([undefined, 0, "cannot be told"]);
    expect(open.inBand!.sentence).toBe("The error of the measurement is not known at any trusted point of the band: nothing can be said.");
  });

  const of = (level: (f: number, i: number) => number, standardErrorDb: number | ((f: number) => number), more: object = {}) =>
    overlayCurves(curve("m", (f, i) => shape(f) + level(f, i)), curve("p", shape), { band, measured: { frequencies, standardErrorDb: Float64Array.from(frequencies, (f) => (typeof standardErrorDb === "number" ? standardErrorDb : standardErrorDb(f))), ...more } }).inBand!;

  it("points whose error is not known are left out and counted; NaN and negative errors are refused", () => {
    const half = of(() => 0, (f) => (f < 60 ? Infinity : 0.5));
    expect(half.judged).toBeLessThan(half.count);
    expect(half.sentence).toMatch(/^100 % of what can be judged of the band .* agrees .* \d+ points are left out because the error of the measurement is not known there\.$/);
    expect(() => of(() => 20, NaN)).toThrow(/standardErrorDb: came NaN dB at 20 Hz|standardErrorDb: NaN dB at 20 Hz/);
    expect(() => of(() => 20, -1)).toThrow(InputError);
  });

  it("a wide band of the measurement does not flatten the curves of the figure", () => {
    const [figure] = overlay({ curve: curve("m", shape), standardErrorDb: Float64Array.from(frequencies, (f) => (f < 60 ? Infinity : 30)) } as never, curve("p", shape), { band: ["30 Hz", "150 Hz"] }).views() as [Figure];
    for (const panel of figure.panels) for (const { low, high, x } of panel.bands!) x.forEach((f, i) => {
      if (f < 59.9) expect([low[i], high[i]]).toEqual([NaN, NaN]);
      else if (f > 61) expect(high[i]! - low[i]!).toBeLessThan(35);
    });
  });

  it("a notch far outside is told though nine tenths of the band lie within", () => {
    const notch = of((f) => (f > 95 && f < 105 ? -10 : 0), 0.5);
    expect(notch.share!).toBeGreaterThan(0.9);
    expect(notch.verdict).toBe("agrees except in parts");
    expect(notch.sentence).toMatch(/agrees with the measurement except from 9\d\.?\d? Hz to 10\d Hz \(10\.0 dB below the prediction, 20\.0 standard deviations\)/);
    // one point of 4.5 standard deviations (four: JCGM 100:2008, table G.1, 6e-5), and a run of 2.5 standard deviations over a fifth of an octave
    expect(of((f) => (Math.abs(Math.log2(f / 80)) < 0.03 ? 4.5 : 0), 1).verdict).toBe("agrees except in parts");
    expect(of((f) => (Math.abs(Math.log2(f / 80)) < 0.03 ? 3 : 0), 1).verdict).toBe("agrees");
    expect(of((f) => (Math.abs(Math.log2(f / 80)) < 0.1 ? 2.5 : 0), 1).exceptions).toHaveLength(1);
  });

  it("two trusted points of many say nothing", () => {
    const few = of(() => 0, 0.5, { trusted: Uint8Array.from(frequencies, (f) => (Math.abs(f - 80) < 1 ? 1 : 0)) });
    expect(few.judged).toBeLessThan(6);
    expect(few.verdict).toBe("cannot be told");
    expect(few.sentence).toMatch(/^Only \d of \d+ points of the band can be judged: too few/);
  });

  it("a level that differs as a whole is told, unless the level is as uncertain itself; pure noise is not", () => {
    const shifted = of(() => 1.1, 0.6);
    expect(shifted.share).toBe(1);
    expect(shifted.verdict).toBe("level differs");
    expect(shifted.sentence).toMatch(/all together they are 1\.10 dB above the prediction, where 0\.\d\d dB may be chance \(99 %\): the level differs/);
    expect(of(() => 1.1, 0.6, { levelErrorDb: 0.5 }).verdict).toBe("agrees");
    const verdicts: string[] = [];
    for (let seed = 1; seed <= 40; seed++) {
      const random = randomNumbers(seed, 5), noise = Array.from(frequencies, () => 0.5 * normalQuantile(random.uniform()));
      verdicts.push(of((_, i) => noise[i]!, 0.5).verdict);
    }
    expect(verdicts.filter((one) => one === "agrees").length).toBeGreaterThanOrEqual(38);
  });

  it("between 0.7 and 0.9 of the band is not agreement", () => {
    // a tenth of an octave outside, a fifth within, by turns: two thirds to three quarters lie within
    const some = of((f) => ((Math.log2(f / 20) * 3.3) % 1 < 0.25 ? 2.5 : 0), 1);
    expect(some.share!).toBeGreaterThan(0.65);
    expect(some.share!).toBeLessThan(0.9);
    expect(some.verdict).toBe("partly uncertainty");
  });

  it("takes the spread of an uncertain prediction as its band, and the spread of positions as that of the measurement", async () => {
    const build = (): ReturnType<typeof predict> => predict(closedBox({ driver: driver({ name: "d", Re: 3.5, Sd: "88 cm^2", Mms: "13 g +- 15 %", Cms: "0.6 mm/N", Rms: 1.1, Bl: 6.3 }), volume: "9 L +- 10 %" }), { frequencies: "20:200:60" });
    const uncertainly = await uncertain(build, { count: 60, seed: 1 });
    const swept = { curve: { ...uncertainly.nominal.pressure, name: "m" }, spreadDb: new Float64Array(60).fill(0.2) };
    const result = overlay(swept as never, uncertainly, { band: ["30 Hz", "150 Hz"] });
    expect(result.names.predicted).toBe(uncertainly.nominal.design.name);
    expect(result.inBand!.share).toBe(1);
    expect(result.inBand!.sentence).toMatch(/the measurement \(spread of the positions\) and the prediction \(its spread\)/);
    const [figure] = result.views() as [Figure];
    expect(figure.panels[0]!.bands!.map((b) => [b.name, b.role])).toEqual([["95 % of the measurement", "measurement"], ["95 % of the prediction", "prediction"]]);
    const { low, high } = figure.panels[0]!.bands![1]!;
    low.forEach((x, i) => expect(x).toBeLessThanOrEqual(high[i]! + 1e-9));
    expect(Math.max(...high.map((x, i) => x - low[i]!))).toBeGreaterThan(0.3);
    const ohms = overlay({ ...uncertainly.nominal.impedance, name: "z" }, uncertainly, { band: ["30 Hz", "150 Hz"] });
    expect(ohms.quantity).toBe("electrical impedance");
    expect(ohms.inBand!.share).toBe(1);
  });
});

describe("correlation, trust and error at other frequencies", () => {
  it("correlation is 1 for a shifted copy, -1 for its mirror, nothing for a straight line, and a known value between", () => {
    const a = Float64Array.of(1, 2, 3, 4, 5), b = Float64Array.of(2, 1, 4, 3, 5);
    expect(levelCorrelation(a, a.map((x) => x + 7), [0, 5])).toBeCloseTo(1, 12);
    expect(levelCorrelation(a, a.map((x) => -x), [0, 5])).toBeCloseTo(-1, 12);
    expect(levelCorrelation(a, new Float64Array(5).fill(3), [0, 5])).toBeUndefined();
    // sums by hand: covariance 8, squares 10 and 10
    expectClose(levelCorrelation(a, b, [0, 5])!, 0.8, 1e-12, "Pearson's coefficient by hand, elementary");
  });
  it("a point between a trusted and an untrusted one is not trusted", () => {
    const sure = { frequencies: Float64Array.of(10, 20, 30, 40), trusted: Uint8Array.of(1, 1, 0, 1), standardErrorDb: Float64Array.of(1, 1, Infinity, 1) };
    expect([...trustAt(sure, Float64Array.of(10, 15, 20, 25, 30, 35, 40))]).toEqual([1, 1, 1, 0, 0, 0, 1]);
    const error = errorAt(sure, Float64Array.of(10, 15, 30));
    expect([...error]).toEqual([1, 1, 60]);
  });
});

describe("phase and group delay of an overlay", () => {
  const wanted = (f: number): number => -0.02 * f;
  it("takes a delay and a polarity out and says both", () => {
    const measured = curve("m", shape, (f) => wanted(f) + Math.PI - 2 * Math.PI * f * 7.3e-3), predicted = curve("p", shape, wanted);
    const { phase } = overlayCurves(measured, predicted, { band, phase: true });
    expect(phase!.removedDelay).toBeCloseTo(7.3e-3, 6);
    expect(phase!.turned).toBe(true);
    expect(phase!.rmsPhase).toBeLessThan(1e-4);
    expect(phase!.notes.map((note) => note.text).join("; ")).toMatch(/a delay of 7\.3 ms was taken out .*its sign turned round; the measurement has the opposite sign/);
    // group delay of a straight phase: 0.02 / (2 pi) s, elementary
    phase!.measuredDelay.forEach((x) => expect(x).toBeCloseTo(0.02 / (2 * Math.PI), 5));
    const [figure, table] = overlay(measured, predicted, { band: ["30 Hz", "150 Hz"], phase: true }).views() as [Figure, Table];
    expect(figure.panels.map((p) => `${p.quantity} ${p.unit}`)).toEqual(["level dB re 20 uPa", "measured minus predicted dB", "phase degrees", "group delay ms"]);
    expect(table.rows.at(-1)![0]).toBe("root mean square of the phase difference");
  });
  it("a long delay between the points of the overlay is followed by the points of the measurement", () => {
    const fine = logGrid(20, 200, 4000), delay = 0.12;
    const measured = makeCurve({ name: "m", quantity: "sound pressure", unit: "Pa", frequencies: fine, re: fine.map((f) => Math.cos(2 * Math.PI * f * delay)), im: fine.map((f) => -Math.sin(2 * Math.PI * f * delay)), phaseKnown: true });
    expect(overlayCurves(measured, curve("p", shape, () => 0), { band, phase: true, perOctave: 12 }).phase!.removedDelay).toBeCloseTo(delay, 6);
  });
  it("a delay too long for the grid: neither delay nor polarity is stated", () => {
    const { phase } = overlayCurves(curve("m", shape, (f) => wanted(f) + Math.PI - 2 * Math.PI * f * 1.1), curve("p", shape, wanted), { band, phase: true });
    const said = phase!.notes.map((note) => note.text).join("; ");
    expect(said).toMatch(/too far apart to follow it.*neither the delay nor the polarity can be told/);
    expect(said).not.toMatch(/opposite sign|turned round/);
    expect(phase!.turned).toBe(false);
  });
  it("a phase that is not known, or a flag that is none, is an error", () => {
    expect(() => overlayCurves(curve("m", shape), curve("p", shape, wanted), { band, phase: true })).toThrow(InputError);
    expect(() => overlay(curve("m", shape), curve("p", shape), { band: ["30 Hz", "150 Hz"], phase: "yes" as never })).toThrow(/true or false/);
  });
  it("delay and half turns of a straight phase, by least squares", () => {
    const f = Float64Array.of(10, 20, 40), found = delayOf(f, f.map((x) => 3 * Math.PI - 2 * Math.PI * x * 2e-3), [0, 3]);
    expect(found.delay).toBeCloseTo(2e-3, 12);
    expect(found.constant).toBeCloseTo(3 * Math.PI, 12);
  });
});
