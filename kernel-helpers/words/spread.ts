import { InputError } from "../../src/errors.js";
import { magnitude } from "../../src/math/curve.js";
import type { Prediction } from "../../src/predict/predict.js";
import { hypercubeColumn, largestEffect, percentileCurves, percentileIsClipped, type SpreadEffect, spreadAt } from "../../src/search/spread.js";
import type { Note } from "../../src/notes.js";
import { remark } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { type Dimension, toSI } from "../quantity.js";
import { anySpreadFrom, hasSpread, type SpreadDraws, whileDrawing, type WrittenSpread } from "../quantity-spread.js";
import { makeShowable } from "../show/showable.js";
import { progress } from "../show/progress.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { checkPrediction } from "./compare.js";
import { meritKeys, meritOf, type MeritWords, type PredictionMerit, referenceFrom } from "./merit-words.js";
import { nameFrom } from "./names.js";
import { type SpreadPlots, spreadPlots, spreadViews } from "./spread-plots.js";

/**
 * Gives the value of an uncertain quantity in its SI unit: the nominal one in the first run, a drawn one in each run after it.
 *
 * @param spread  "7.9 L +- 10 %", "120 mm +- 1 mm normal", or a spread alone: "+- 10 %" is a factor about 1, "+- 1 mm" a deviation from 0
 * @param name    what the table calls it; the text of the spread when missing
 */
export type Vary = (spread: string, name?: string) => number;

/** How often and from where is drawn. */
export interface UncertainWords extends MeritWords {
  /** runs, 10 to 10000, no unit; 200 when missing */
  readonly count?: number;
  /** whole number from 0 to 4294967295, no unit; 1 when missing. The same seed gives the same numbers */
  readonly seed?: number;
  /** lower and upper edge of the band, 0 to 100, no unit; [5, 95] when missing */
  readonly percentiles?: readonly [number, number];
}

/** One curve over all runs. */
export interface UncertainBand {
  /** lower percentile, SI unit of the curve (level: dB re 20 uPa), n values */
  readonly low: Float64Array;
  /** the middle run, SI unit of the curve, n values */
  readonly median: Float64Array;
  /** upper percentile, SI unit of the curve, n values */
  readonly high: Float64Array;
  /** every run, SI unit of the curve, n values each */
  readonly runs: readonly Float64Array[];
}

/** An uncertain quantity as it was used. */
export interface VariedQuantity extends WrittenSpread {
  /** name given with `vary`, or the field that it was read for */
  readonly name: string;
  /** value in each run, in the SI unit of the quantity */
  readonly draws: Float64Array;
  /** where it moves the level most, dB for one standard deviation; undefined where there is no pass band */
  readonly effect: (SpreadEffect & {
    /** Hz */
    readonly frequency: number;
  }) | undefined;
}

/** Curves of which a band is made. */
export type UncertainCurve = "level" | "phase" | "groupDelay" | "impedance" | "excursion";

/** What a prediction is worth when its parameters are uncertain. */
export interface UncertainPrediction {
  /** the prediction with all nominal values */
  readonly nominal: Prediction;
  /** runs, no unit */
  readonly count: number;
  /** seed, no unit */
  readonly seed: number;
  /** edges of the bands, no unit */
  readonly percentiles: readonly [number, number];
  /** uncertain quantities in the order of their use */
  readonly varied: readonly VariedQuantity[];
  /** level in dB re 20 uPa, phase in rad, group delay in s, magnitude of the impedance in ohm, excursion in m peak */
  readonly bands: Readonly<Record<UncertainCurve, UncertainBand>>;
  /** figures of merit of each run; undefined where the frequencies carry no pass band */
  readonly merits: readonly PredictionMerit[] | undefined;
  readonly notes: readonly Note[];
}

const curves: Readonly<Record<UncertainCurve, (p: Prediction) => Float64Array>> = {
  level: (p) => p.level,
  phase: (p) => p.phase,
  groupDelay: (p) => p.groupDelay,
  impedance: (p) => magnitude(p.impedance),
  excursion: (p) => p.excursionPeak,
};

/**
 * Predicts a design many times with its uncertain parameters drawn anew, and gives the band that is left: level (dB), phase (rad), group delay (s),
 * impedance (ohm) and excursion (m peak) by percentiles. Await it; a bar shows how far it is, and the kernel can be interrupted between runs.
 *
 * ```ts
 * const band = await air.uncertain(() => {
 *   const woofer = air.driver({ ...sheet, Cms: "0.6 mm/N +- 15 %" });
 *   return air.predict(air.closedBox({ driver: woofer, volume: "12 L +- 3 %" }));
 * }, { count: 200, seed: 1 });
 * await air.show(band);
 * ```
 *
 * @param build    makes the prediction; any text in it may carry a spread, and `vary` gives a value of its own. Each run must use the same spreads in the same order
 * @param options  runs, seed, percentiles, and the band for figures of merit
 * @throws InputError  when nothing varies, runs differ in what they draw or in their frequencies, or a drawn value cannot be used
 * @remarks Draws are a Latin hypercube, quantities independent of each other; "+-" is the half width of a uniform distribution, or two standard deviations with "normal".
 *
 * Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239; distributions by JCGM 100:2008.
 */
export async function uncertain(build: (vary: Vary) => Prediction, options: UncertainWords = {}): Promise<UncertainPrediction & Showable & { readonly plots: SpreadPlots }> {
  const { count, seed, percentiles } = settingsFrom(build, options);
  const found: { quantity: WrittenSpread; name: string }[] = [];
  const nominal = run(build, "the nominal run", (quantity, name) => {
    found.push({ quantity, name });
    return quantity.value;
  });
  if (found.length === 0) {
    throw new InputError({ where: "uncertain", came: "a function that uses no spread", expected: "at least one uncertain quantity is expected", hint: 'Make the driver and the design inside the function, with texts such as "12 L +- 3 %"' });
  }
  const reference = referenceFrom(options, [nominal.frequencies], "uncertain");
  const columns = found.map((_, place) => hypercubeColumn(count, seed, place));
  const draws = found.map(() => new Float64Array(count));
  const rows = Object.fromEntries(Object.keys(curves).map((key) => [key, [] as Float64Array[]])) as Record<UncertainCurve, Float64Array[]>;
  const merits: PredictionMerit[] = [];
  let beyond = 0;
  const bar = progress("Uncertain prediction", count);
  for (let r = 0; r < count; r++) {
    await bar.step(r);
    const which = `run ${r + 1} of ${count}`;
    let place = 0;
    const p = run(build, which, (quantity) => {
      const wanted = found[place]?.quantity;
      if (wanted?.text !== quantity.text || wanted.field !== quantity.field) throw unlike(which, quantity.text, wanted?.text);
      const value = spreadAt(quantity, columns[place]![r]!);
      draws[place]![r] = value;
      place++;
      return value;
    });
    if (place !== found.length) throw unlike(which, `${place} spreads`, `${found.length}`);
    if (p.frequencies.length !== nominal.frequencies.length || p.frequencies.some((f, i) => f !== nominal.frequencies[i])) {
      throw new InputError({ where: `uncertain, ${which}`, came: "other frequencies than in the nominal run", expected: "the same frequencies in each run are expected" });
    }
    for (const key of Object.keys(curves) as UncertainCurve[]) rows[key].push(curves[key](p));
    if (reference !== undefined) merits.push(meritOf(p, reference));
    if (p.notes.some((note) => note.severity === "warning" && note.about === "excursion")) beyond++;
  }
  bar.done();
  const bands = Object.fromEntries(
    (Object.keys(curves) as UncertainCurve[]).map((key) => {
      const [low, median, high] = percentileCurves(rows[key], [percentiles[0], 50, percentiles[1]]) as [Float64Array, Float64Array, Float64Array];
      return [key, Object.freeze({ low, median, high, runs: Object.freeze(rows[key]) })];
    }),
  ) as Record<UncertainCurve, UncertainBand>;
  const low = merits.length > 0 ? (merits[0]!.extensions.at(-1)!.frequency ?? 0) : 0, high = merits[0]?.upperEnd ?? Infinity;
  const inBand = Array.from(nominal.frequencies, (f) => f >= low && f <= high);
  const varied = found.map(({ quantity, name }, j): VariedQuantity => {
    const effect = reference === undefined ? undefined : largestEffect(draws[j]!, rows.level, inBand);
    return Object.freeze({ ...quantity, name, draws: draws[j]!, effect: effect && Object.freeze({ ...effect, frequency: nominal.frequencies[effect.at]! }) });
  });
  const notes: Note[] = [remark("uncertain", `${count} runs, seed ${seed}, Latin hypercube; quantities are drawn independently of each other`)];
  for (const percent of percentiles) {
    if (percentileIsClipped(count, percent)) notes.push(remark("uncertain", `${count} runs do not reach the ${percent} percentile: the outermost run stands for it`));
  }
  if (beyond > 0) notes.push(remark("uncertain", `the cone goes beyond Xmax in ${beyond} of ${count} runs`, { about: "excursion" }));
  const result: UncertainPrediction = { nominal, count, seed, percentiles, varied: Object.freeze(varied), bands: Object.freeze(bands), merits: reference === undefined ? undefined : Object.freeze(merits), notes: Object.freeze(notes) };
  const plots = spreadPlots(result);
  return makeShowable(
    { ...result, plots },
    () => spreadViews(result, reference),
    () => `uncertain prediction of "${nominal.design.name}": ${count} runs, seed ${seed}, ${varied.length} uncertain ${varied.length === 1 ? "quantity" : "quantities"}`,
  );
}

type Draw = (quantity: WrittenSpread, name: string) => number;

/** One run: texts with a spread and `vary` both go through `draw`. */
function run(build: (vary: Vary) => Prediction, which: string, draw: Draw): Prediction {
  const source: SpreadDraws = { draw: (quantity) => draw(quantity, quantity.field) };
  const read = (text: string, dimension: Dimension, field: string): number => toSI(text, dimension, field);
  const vary: Vary = (spread, name) => {
    const field = name === undefined ? "vary" : nameFrom(name, "vary (name)");
    if (typeof spread !== "string" || spread.length > 60 || !hasSpread(spread)) {
      throw new InputError({ where: field, came: shownValue(spread), expected: 'a value with its spread is expected, such as "7.9 L +- 10 %"' });
    }
    return draw(anySpreadFrom(spread, field, read), name ?? spread.trim());
  };
  const result = placed(which, () => whileDrawing(source, () => build(vary)));
  if (typeof (result as unknown as { then?: unknown } | null)?.then === "function") {
    throw new InputError({ where: "uncertain", came: "a function that gives a promise", expected: "a function that returns a prediction at once is expected", hint: "Leave async and await out of it" });
  }
  checkPrediction(result, `uncertain, ${which}`);
  return result;
}

/** Errors of a run say which run it was. */
function placed<T>(which: string, act: () => T): T {
  try {
    return act();
  } catch (error) {
    if (!(error instanceof InputError) || error.where.startsWith("uncertain") || which === "the nominal run") throw error;
    throw new InputError({ where: `uncertain, ${which}: ${error.where}`, came: error.came, expected: error.expected, hint: error.hint ?? "A narrower spread may be needed" });
  }
}

function unlike(which: string, came: string, wanted: string | undefined): InputError {
  return new InputError({ where: `uncertain, ${which}`, came: `${shownValue(came)} where the nominal run had ${wanted === undefined ? "nothing more" : shownValue(wanted)}`, expected: "the same spreads in the same order are expected in each run" });
}

function settingsFrom(build: unknown, options: UncertainWords): { readonly count: number; readonly seed: number; readonly percentiles: readonly [number, number] } {
  if (typeof build !== "function") throw new InputError({ where: "uncertain", came: shownValue(build), expected: "a function that returns a prediction is expected", hint: "uncertain(() => predict(...), { count: 200 })" });
  checkKeys("uncertain", options, ["count", "seed", "percentiles", ...meritKeys]);
  const { count = 200, seed = 1, percentiles = [5, 95] } = options;
  if (!(Number.isInteger(count) && count >= 10 && count <= 10_000)) throw new InputError({ where: "uncertain.count", came: shownValue(count), expected: "a whole number from 10 to 10000 is expected" });
  if (!(Number.isInteger(seed) && seed >= 0 && seed < 2 ** 32)) throw new InputError({ where: "uncertain.seed", came: shownValue(seed), expected: "a whole number from 0 to 4294967295 is expected" });
  const [low, high] = Array.isArray(percentiles) && percentiles.length === 2 ? percentiles : [NaN, NaN];
  if (!(typeof low === "number" && typeof high === "number" && low >= 0 && low < high && high <= 100)) {
    throw new InputError({ where: "uncertain.percentiles", came: Array.isArray(percentiles) ? `[${percentiles.map(shownValue).join(", ")}]` : shownValue(percentiles), expected: "two numbers from 0 to 100 are expected, such as [5, 95]" });
  }
  return { count, seed, percentiles: Object.freeze([low, high] as const) };
}
