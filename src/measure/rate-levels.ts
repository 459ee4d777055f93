import { powerOfTwoAbove } from "../math/fft.js";
import { doubled, halved } from "../math/half-band.js";
import { type LagWindow, correlateWindows } from "./block-correlation.js";
import { type OrderWindow, spreadFrom } from "./order-windows.js";
import { type SweepBlocks, type SweepPart, makeSweepBlocks } from "./sweep-blocks.js";
import { type SweepShape, sweepTime } from "./sweep-phase.js";
import { halfWindow } from "./windows.js";

/** Part of the filter that undoes a sweep, at a rate that is just enough for it. */
export interface RateLevel {
  /** how often the rate was halved, no unit */
  readonly halvings: number;
  /** samples of the first rate that the filter spreads an arrival to each side, no unit: the higher its frequencies, the fewer */
  readonly spread: number;
  readonly blocks: SweepBlocks;
}

/** Top of what is kept at a rate, over it: where halving changes nothing yet; no unit. */
const keptShare = 0.3;

/** Lowest rate that a channel is brought to, Hz. */
const lowestRate = 1000;

/** Frequency over which two levels overlap, its lower end over its upper end, no unit. */
const overlap = 0.85;

/** Lags around a window at each halving that the half-band filter needs, no unit. */
const margin = 24;

/**
 * The filter for a sweep in parts, each at the sample rate halved as often as its frequencies allow: a sweep spends most of its time far below half of the rate.
 * Neighbouring parts overlap with raised cosines that add to one, so nothing is lost between them.
 *
 * @param options  sample rate in Hz, windows of lags in samples of it, s of slack for drift
 * @remarks A boundary lies where the overlap takes a hundred periods or more, so that it is a boundary in frequency too.
 */
export function makeRateLevels(shape: SweepShape, { sampleRate, windows, slack }: { readonly sampleRate: number; readonly windows: readonly OrderWindow[]; readonly slack: number }): readonly RateLevel[] {
  const top = (halvings: number): number => (keptShare * sampleRate) / 2 ** halvings;
  const lowest = Math.max(600 / shape.growth, 2 * shape.start, keptShare * lowestRate);
  let last = 0;
  while (top(last + 1) >= lowest) last++;
  let first = 0;
  while (first < last && shape.stop <= overlap * top(first + 1)) first++;
  const span = Math.max(...windows.map((w) => w.from + w.length)) - Math.min(...windows.map((w) => w.from));
  const edge = (frequency: number): readonly [number, number] => [sweepTime(shape, overlap * frequency), sweepTime(shape, frequency)];
  return Array.from({ length: last - first + 1 }, (_, i) => {
    const halvings = first + i, share = 2 ** -halvings, spread = halvings === last ? Infinity : Math.ceil((slack + spreadFrom(shape, overlap * top(halvings + 1))) * sampleRate);
    const longest = Math.max(...windows.map((window) => nearArrival(window, spread).length)), reach = Math.ceil(longest * share) + 2 * margin;
    const part: SweepPart | undefined = last === 0 ? undefined : {
      rise: halvings === last ? [-2, -1] : edge(top(halvings + 1)),
      fall: halvings === first ? [shape.duration + 1, shape.duration + 2] : edge(top(halvings)),
    };
    const block = Math.min(65_536, Math.max(2048, powerOfTwoAbove(reach / 2))); // longer transforms leave the processor's memory and are slower
    const rate = sampleRate * share;
    // what a rate that was lowered does not hold of the sweep must not fold back
    const held: SweepPart | undefined = halvings === 0 ? undefined : { rise: [-2, -1], fall: [sweepTime(shape, 0.36 * rate), sweepTime(shape, 0.46 * rate)] };
    return { halvings, spread, blocks: makeSweepBlocks(shape, { sampleRate: rate, block, ringed: Math.ceil((span * share) / block) + 2, reach, part, held }) };
  });
}

/** The lags of a window that a filter of so much spread (in samples) can reach. */
function nearArrival({ from, length, lead, before, after }: OrderWindow, spread: number): LagWindow {
  const first = Math.max(from, from + lead - before - spread), end = Math.min(from + length, from + lead + after + spread);
  return { from: first, length: end - first };
}

/** A channel at its rate in Hz, at half of it, and so on down to 1000 to 2000 Hz; full scale. Yields the share that is done, 0 to 1. */
export function* lowerRates(channel: Float32Array, sampleRate: number): Generator<number, readonly Float32Array[]> {
  const out = [channel];
  for (let i = 1; sampleRate / 2 ** i >= lowestRate; i++) {
    const run = halved(out[i - 1]!);
    for (let next = run.next(); ; next = run.next()) {
      if (next.done === true) {
        out.push(next.value);
        break;
      }
      yield 1 - 2 ** (1 - i) + next.value * 2 ** -i;
    }
  }
  return out;
}

/**
 * Recorded channels filtered by the filter that undoes a sweep, at the wanted lags: for each channel and window one array, no unit. Yields the share that is done.
 *
 * @param channels  from `lowerRates`, each channel at all rates
 * @param options   `at`: sample of the recording from which lags count, a multiple of `lagUnit`; windows of each channel
 */
export function* filterRepeat(levels: readonly RateLevel[], channels: readonly (readonly Float32Array[])[], { at, windows }: { readonly at: number; readonly windows: readonly (readonly OrderWindow[])[] }): Generator<number, Float64Array[][]> {
  const last = levels[levels.length - 1]!.halvings;
  // what each rate must hold, so that the next higher one can be filled from it
  const wanted: (readonly (readonly LagWindow[])[])[] = [windows];
  for (let h = 1; h <= last; h++) wanted.push(wanted[h - 1]!.map((own) => own.map(({ from, length }) => {
    const low = Math.floor(from / 2) - margin;
    return { from: low, length: Math.ceil((from + length) / 2) + margin - low };
  })));
  let sums: Float64Array[][] | undefined;
  for (let h = last; h >= 0; h--) {
    const raised: Float64Array[][] = wanted[h]!.map((own, c) => own.map(({ from, length }, w) => {
      if (sums === undefined) return new Float64Array(length);
      const start = from - 2 * wanted[h + 1]![c]![w]!.from;
      return doubled(sums[c]![w]!).subarray(start, start + length);
    }));
    sums = raised;
    const level = levels.find(({ halvings }) => halvings === h);
    if (level === undefined) continue;
    const near = windows.map((own, c) => own.map((window, w) => within(wanted[h]![c]![w]!, nearArrival(window, level.spread), h)));
    const run = correlateWindows(level.blocks, channels.map((rates) => rates[h]!), { at: at / 2 ** h, windows: near });
    let next = run.next();
    for (; next.done !== true; next = run.next()) yield (last - h + next.value.done / next.value.total) / (last + 1);
    next.value.forEach((own, c) => own.forEach((values, w) => {
      const offset = near[c]![w]!.from - wanted[h]![c]![w]!.from, fade = Number.isFinite(level.spread) ? Math.floor((level.spread * 2 ** -h) / 4) : 0;
      addFaded(raised[c]![w]!.subarray(offset, offset + values.length), values, Math.min(fade, values.length >> 1));
    }));
  }
  return sums!;
}

/** Samples of which a repeat's place must be a multiple, no unit. */
export function lagUnit(levels: readonly RateLevel[]): number {
  return 2 ** levels[levels.length - 1]!.halvings;
}

/** What the filter makes of the sweep itself at lags from -reach to reach (in samples), no unit. */
export function ownLags(levels: readonly RateLevel[], reach: number): Float64Array {
  let sum: Float64Array | undefined;
  for (let h = levels[levels.length - 1]!.halvings; h >= 0; h--) {
    const level = levels.find(({ halvings }) => halvings === h), half = Math.ceil(reach / 2 ** h) + 2 * margin;
    const raised = sum === undefined ? undefined : centred(doubled(sum), half, sum.length - 1);
    const own = level?.blocks.own();
    sum = own === undefined ? raised : centred(own, half, (own.length - 1) / 2);
    if (own !== undefined && raised !== undefined) add(sum!, raised);
  }
  return centred(sum!, reach, (sum!.length - 1) / 2);
}

/** Lags at a lower rate that hold others at the first rate, and lie within what is wanted. */
function within(wanted: LagWindow, { from, length }: LagWindow, halvings: number): LagWindow {
  const first = Math.max(wanted.from, Math.floor(from / 2 ** halvings) - margin), end = Math.min(wanted.from + wanted.length, Math.ceil((from + length) / 2 ** halvings) + margin);
  return { from: first, length: end - first };
}

/** Adds values whose ends fade over so many of them. */
function addFaded(into: Float64Array, values: Float64Array, fade: number): void {
  for (let n = 0; n < fade; n++) {
    const height = halfWindow((n + 0.5) / fade);
    values[n]! *= height;
    values[values.length - 1 - n]! *= height;
  }
  add(into, values);
}

/** Values from `half` before to `half` after a middle; zeros where there are none. */
function centred(values: Float64Array, half: number, middle: number): Float64Array {
  const out = new Float64Array(2 * half + 1), from = Math.max(0, middle - half), to = Math.min(values.length, middle + half + 1);
  out.set(values.subarray(from, to), from - (middle - half));
  return out;
}

function add(into: Float64Array, values: Float64Array): void {
  for (let n = 0; n < into.length; n++) into[n]! += values[n]!;
}
