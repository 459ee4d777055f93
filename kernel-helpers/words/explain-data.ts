import { openingsOf } from "../../src/acoustics/network.js";
import { InputError, SolveError } from "../../src/errors.js";
import { type Curve, levelDb, makeCurve, referencePressure } from "../../src/math/curve.js";
import type { DeviationSet } from "../../src/measure/explain.js";
import { delayOf, phaseAt } from "../../src/measure/overlay-phase.js";
import { errorAt, trustAt } from "../../src/measure/overlay-uncertainty.js";
import { resample } from "../../src/measure/resample.js";
import { smooth } from "../../src/measure/smooth.js";
import type { Note } from "../../src/notes.js";
import { hear } from "../../src/predict/far-pressure.js";
import { spaceDistance } from "../../src/space/space.js";
import { formatQuantity } from "../quantity.js";
import { uncertaintyOf } from "./curve-source.js";
import type { Change } from "./explain-change.js";
import { gateOf, gatingLike, gatingNote } from "./gated-as-measured.js";
import { airOf, type BuildState, designOf, type Explained, spaceOf } from "./explain-state.js";

/** One measured curve that is explained. */
export interface MeasuredPart {
  readonly curve: Curve;
  /** the thing it came from, which may know its uncertainty */
  readonly source: unknown;
}

/** What is compared, and how. */
export interface DataOptions {
  /** Hz */
  readonly band: readonly [number, number];
  /** points an octave, no unit */
  readonly perOctave: number;
  /** width of the power average in octaves; undefined for none */
  readonly smoothing: number | undefined;
  /** false leaves phases out even where they are known */
  readonly phase: boolean;
}

/** One set of points with what was measured there. */
export interface ExplainedSet extends DeviationSet {
  readonly kind: "level" | "impedance" | "phase" | "impedance phase";
  /** level in dB re 20 uPa or re 1 ohm, phase in rad unwrapped; n values */
  readonly measured: Float64Array;
  /** count of them, no unit */
  readonly points: number;
  /** name of the curve that was measured */
  readonly from: string;
}

/** Phase (rad) as the dB of the same relative error, no unit. */
const dbOfRadian: number = 20 / Math.LN10;

/** The sets, and the deviation of a state from them. */
export interface ExplainData {
  readonly sets: readonly ExplainedSet[];
  /** what must be known of it */
  readonly notes: readonly Note[];
  /** points left out because they are not trusted, no unit */
  readonly untrusted: number;
  /** measured minus predicted in dB for values of the changes, all sets one after the other; NaN where nothing can be predicted */
  readonly deviation: (values: Float64Array, out: Float64Array) => void;
  /** the same, but an error where nothing can be predicted */
  readonly check: (values: Float64Array) => void;
}

/** A set of measured points and the frequencies at which the prediction is worked out for it. */
interface Part {
  readonly set: ExplainedSet;
  readonly grid: Float64Array;
  /** place of the solution among all solutions */
  readonly solution: number;
  /** what a solution on the even grid becomes at `grid` when it is gated as the measurement was; undefined without a gate */
  readonly gating?: ReturnType<typeof gatingLike> | undefined;
}

/** Makes the sets from the measured curves. */
export function explainData(parts: readonly MeasuredPart[], changes: readonly Change[], explained: Explained, options: DataOptions): ExplainData {
  const made: Part[] = [], grids: Float64Array[] = [], notes: Note[] = [];
  let untrusted = 0;
  for (const { curve, source } of parts) {
    const { at, grid, left, weights } = pointsOf(curve, source, options);
    untrusted += left;
    const smoothing = curve.quantity === "sound pressure" ? options.smoothing : undefined;
    const levels = smoothing === undefined ? resample(curve, at).curve : smooth(curve, { octaves: smoothing, at, within: [grid[0]!, grid[grid.length - 1]!] }).curve;
    const isLevel = curve.quantity === "sound pressure";
    const apart = smoothing === undefined ? 1 : Math.max(1, smoothing * options.perOctave);
    const common = { frequencies: at, ...(weights === undefined ? {} : { weights }), points: at.length, from: curve.name };
    const gate = isLevel && curve.phaseKnown ? gateOf(source) : undefined, gating = gate === undefined ? undefined : gatingLike({ curve, source }, gate, grid);
    if (gate !== undefined) notes.push(gatingNote("explain", gate));
    grids.push(gating?.grid ?? grid);
    made.push({ grid, gating, solution: grids.length - 1, set: Object.freeze({ ...common, name: isLevel ? "level" : "impedance", kind: isLevel ? "level" : "impedance", measured: levelDb(levels), apart }) });
    if (!curve.phaseKnown || !options.phase) continue;
    const like = gate === undefined || smoothing === undefined ? gating : gatingLike({ curve, source }, gate, at);
    if (smoothing !== undefined) grids.push(like?.grid ?? at);
    made.push({ grid: at, gating: like, solution: grids.length - 1, set: Object.freeze({ ...common, name: isLevel ? "phase" : "impedance phase", kind: isLevel ? "phase" : "impedance phase", measured: phaseAt(curve, at), apart: 1 }) });
  }
  const predict = predictor(explained, grids);
  // the time of a prediction is settled by the design as it is
  const gated = made.map(({ gating, solution }) => gating?.fitted(predict(explained.state(), solution, false)));
  let constant: number | undefined;
  const write = (values: Float64Array, out: Float64Array): void => {
    const state = explained.state();
    changes.forEach((change, j) => {
      if (values[j] !== change.none) change.apply(state, values[j]!);
    });
    let at = 0;
    for (const [n, { set, grid, solution }] of made.entries()) {
      const solved = predict(state, solution, set.kind.startsWith("impedance")), { re, im } = gated[n]?.(solved) ?? solved;
      const target = out.subarray(at, (at += set.points));
      if (set.kind === "level" || set.kind === "impedance") levelDeviation({ set, grid, re, im, smoothing: set.kind === "level" ? options.smoothing : undefined, level: set.kind === "level" ? state.level : 0 }, target);
      else constant = phaseDeviation(set, re, im, target, constant);
    }
  };
  return {
    sets: made.map(({ set }) => set),
    notes,
    untrusted,
    deviation: (values, out) => {
      try {
        write(values, out);
      } catch (error) {
        if (!(error instanceof InputError || error instanceof SolveError)) throw error;
        out.fill(NaN);
      }
    },
    check: (values) => write(values, new Float64Array(made.reduce((sum, { set }) => sum + set.points, 0))),
  };
}

/** Frequencies of the points in the band, and those that the prediction needs for them (more where both are smoothed); Hz. */
function pointsOf(curve: Curve, source: unknown, { band: [from, to], perOctave, smoothing }: DataOptions): { readonly at: Float64Array; readonly grid: Float64Array; readonly left: number; readonly weights: Float64Array | undefined } {
  const [low, high] = [curve.frequencies[0]!, curve.frequencies[curve.frequencies.length - 1]!];
  if (!(to > from)) throw new InputError({ where: "explain.band", came: `${formatQuantity(from, "Hz", 4)} to ${formatQuantity(to, "Hz", 4)}`, expected: "a start below the end is expected" });
  if (from < low || to > high) throw new InputError({ where: "explain.band", came: `${formatQuantity(from, "Hz", 4)} to ${formatQuantity(to, "Hz", 4)}`, expected: `a band inside "${curve.name}" is expected, ${formatQuantity(low, "Hz", 4)} to ${formatQuantity(high, "Hz", 4)}` });
  const steps = (a: number, b: number, per: number): Float64Array => {
    const count = Math.floor(Math.log2(b / a) * per + 1e-9);
    return Float64Array.from({ length: count + 1 }, (_, i) => Math.min(b, a * 2 ** (i / per)));
  };
  const all = steps(from, to, perOctave), known = uncertaintyOf(source, curve);
  const trusted = known === undefined ? undefined : trustAt(known, all);
  const at = trusted === undefined ? all : all.filter((_, i) => trusted[i] === 1);
  const inside = curve.frequencies.filter((f) => f >= from && f <= to).length;
  if (at.length < 3 || inside < 3) throw new InputError({ where: "explain.band", came: `${Math.min(at.length, inside)} trusted points of "${curve.name}" from ${formatQuantity(from, "Hz", 4)} to ${formatQuantity(to, "Hz", 4)}`, expected: "more points are expected", hint: "widen the band" });
  // 0.1 dB: no microphone and no model is better than that, common practice, no source
  const weights = known?.standardErrorDb === undefined ? undefined : relative(errorAt(known, at).map((x) => Math.hypot(x, 0.1)));
  if (smoothing === undefined || curve.quantity !== "sound pressure") return { at, grid: at, left: all.length - at.length, weights };
  const reach = 2 ** (smoothing / 2), start = Math.max(low, from / reach), end = Math.min(high, to * reach);
  const grid = steps(start, end, Math.max(perOctave, 4 / smoothing));
  return { at: at.filter((f) => f >= grid[0]! && f <= grid[grid.length - 1]!), grid: grid[grid.length - 1]! < end ? Float64Array.of(...grid, end) : grid, left: all.length - at.length, weights };
}

function relative(values: Float64Array): Float64Array {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  return values.map((x) => x / mean);
}

function levelDeviation({ set, grid, re, im, smoothing, level }: { readonly set: ExplainedSet; readonly grid: Float64Array; readonly re: Float64Array; readonly im: Float64Array; readonly smoothing: number | undefined; readonly level: number }, out: Float64Array): void {
  const reference = set.kind === "level" ? referencePressure : 1;
  let size = re.map((x, i) => Math.hypot(x, im[i]!));
  if (smoothing !== undefined) {
    const curve = makeCurve({ name: "prediction", quantity: "sound pressure", unit: "Pa", frequencies: grid, re: size, im: new Float64Array(size.length), phaseKnown: false });
    size = new Float64Array(smooth(curve, { octaves: smoothing, at: set.frequencies }).curve.re);
  }
  for (let i = 0; i < set.points; i++) out[i] = set.measured[i]! - 20 * Math.log10(size[i]! / reference) - level;
}

/** Phase difference as dB, without delay (of a sound pressure) and half turns; gives the half turns, which are settled at the first call. */
function phaseDeviation(set: ExplainedSet, re: Float64Array, im: Float64Array, out: Float64Array, settled: number | undefined): number | undefined {
  let before = 0, turns = 0;
  for (let i = 0; i < set.points; i++) {
    const phase = Math.atan2(im[i]!, re[i]!);
    if (i > 0) turns -= Math.round((phase - before) / (2 * Math.PI));
    before = phase;
    out[i] = set.measured[i]! - phase - 2 * Math.PI * turns;
  }
  if (set.kind === "impedance phase") {
    const whole = 2 * Math.PI * Math.round(out[0]! / (2 * Math.PI));
    for (let i = 0; i < set.points; i++) out[i] = (out[i]! - whole) * dbOfRadian;
    return settled;
  }
  // the constant follows the delay to a multiple of half a turn; whole turns of it do not matter
  const { delay, constant } = delayOf(set.frequencies, out, [0, set.points]);
  const polarity = settled ?? Math.abs(Math.round(constant / Math.PI)) % 2;
  const kept = 2 * Math.PI * Math.round((constant - polarity * Math.PI) / (2 * Math.PI)) + polarity * Math.PI;
  let sum = 0, square = 0;
  for (let i = 0; i < set.points; i++) {
    const x = 2 * Math.PI * set.frequencies[i]!;
    sum += x * (out[i]! - kept);
    square += x * x;
  }
  const slope = kept === constant ? -delay : sum / square;
  for (let i = 0; i < set.points; i++) out[i] = (out[i]! - kept - slope * 2 * Math.PI * set.frequencies[i]!) * dbOfRadian;
  return polarity;
}

/** Pressure (Pa) and impedance (ohm) of a state over each grid; the last few designs, spaces and solutions are kept, as a search changes one thing at a time. */
function predictor(explained: Explained, grids: readonly Float64Array[]): (state: BuildState, grid: number, impedance: boolean) => { readonly re: Float64Array; readonly im: Float64Array } {
  const { prediction } = explained;
  const designs = recent((_: string, state: BuildState) => designOf(state, prediction.design.name));
  const spaces = recent((_: string, state: BuildState) => spaceOf(state, prediction));
  const voltage = prediction.drive.voltage;
  const solved = grids.map((frequencies) =>
    recent((_: string, state: BuildState) => {
      const design = designs(JSON.stringify([state.driver, state.enclosure]), state), space = spaces(JSON.stringify(state.space ?? null), state), air = airOf(state, prediction);
      const drive = { voltage, sourceResistance: state.sourceResistance };
      const { re, im, solution } = hear({ design, drive, space, distance: spaceDistance(space, openingsOf(design.network), state.distance), air }, frequencies);
      const zr = new Float64Array(frequencies.length), zi = new Float64Array(frequencies.length);
      for (let i = 0; i < zr.length; i++) {
        const cr = solution.currentRe[i]! / voltage, ci = solution.currentIm[i]! / voltage, cc = cr * cr + ci * ci;
        zr[i] = cr / cc - state.sourceResistance;
        zi[i] = -ci / cc;
      }
      return { re, im, zr, zi };
    }),
  );
  return (state, grid, impedance) => {
    const { drive, level: _, ...physical } = state;
    const { re, im, zr, zi } = solved[grid]!(JSON.stringify(physical), state);
    if (impedance) return { re: zr, im: zi };
    const scale = drive / voltage;
    return scale === 1 ? { re, im } : { re: re.map((x) => x * scale), im: im.map((x) => x * scale) };
  };
}

/** What `make` gives by its key, the last six kept. */
function recent<T>(make: (key: string, state: BuildState) => T): (key: string, state: BuildState) => T {
  const kept = new Map<string, T>();
  return (key, state) => {
    const known = kept.get(key);
    if (known !== undefined) return known;
    const made = make(key, state);
    kept.set(key, made);
    if (kept.size > 6) kept.delete(kept.keys().next().value!);
    return made;
  };
}
