import { type Note, remark, warning } from "../notes.js";

/** What one channel of a recording holds. */
export interface ChannelLevels {
  /** largest size of a sample, full scale 1, no unit */
  readonly peak: number;
  /** root of the mean square, full scale 1, no unit: a sine of full scale has 0.707 */
  readonly rms: number;
  /** mean of all samples, full scale 1, no unit */
  readonly offset: number;
  /** length, s */
  readonly duration: number;
  /** samples in flat tops that no smooth signal has, no unit */
  readonly clippedSamples: number;
  /** count of those flat tops, no unit */
  readonly clippedRuns: number;
  /** time of the first of them from the first sample on, s; undefined when there is none */
  readonly firstClipped: number | undefined;
  /** samples beyond full scale, no unit; floating point only */
  readonly beyondFullScale: number;
  /** true where the peak is the largest number that the bits can hold, or more */
  readonly reachesFullScale: boolean;
  /** lowest and highest sample in each of equal strips of time */
  readonly outline: Outline;
}

/** The lowest and the highest sample in each of equal strips of time. */
export interface Outline {
  /** width of a strip, s */
  readonly step: number;
  /** full scale 1, no unit, one a strip */
  readonly low: Float32Array;
  /** full scale 1, no unit, one a strip */
  readonly high: Float32Array;
}

/** Strips of an outline, no unit. */
const strips = 1000;

/** Fewest equal samples in a row that are called a flat top, no unit. */
const fewest = 3;

/** Coarsest step that a converter is taken to have, full scale 1: 16 bits. */
const coarsest = 2 ** -15;

/** Shortest recording whose mean is called direct current, s: of a shorter one it may be half a period. */
const leastForMean = 0.1;

/**
 * Steps of the converter that a smooth top of its own may be left by, one sample beside the flat part and as far beside it as it is long. A parabola that
 * stays within one step over L samples falls by (1 + 2/L)^2 - 1 steps in the next one, at most 1.8, and by 8 steps in the next L; rounding adds one.
 */
const smoothSteps = { beside: 4, further: 12 };

/**
 * Levels (full scale 1, no unit), clipping and outline of one channel.
 *
 * Clipped is a run of three equal samples or more at the highest or the lowest value of the channel, into or out of which the signal steps by more
 * than a smooth one does: the top of a slow sine also has equal samples, but it is left by few of the smallest steps. Channels that stay
 * below 64 steps are not looked at: noise of a few steps has equal samples by chance.
 *
 * @param samples  at least one, finite
 * @param options  sampleRate in Hz; bits of a whole number (no unit), undefined for floating point
 *
 * Source: the rule for flat tops is derived here from the curvature of a sampled sine.
 */
export function measureLevels(samples: Float32Array, options: { readonly sampleRate: number; readonly bits: number | undefined }): ChannelLevels {
  const { sampleRate, bits } = options;
  const count = samples.length, perStrip = Math.max(1, Math.ceil(count / strips)), n = Math.ceil(count / perStrip);
  const low = new Float32Array(n), high = new Float32Array(n);
  const totals = new Float64Array(4);
  totals[2] = Infinity;
  let lowest = Infinity, highest = -Infinity;
  for (let s = 0; s < n; s++) {
    readStrip(samples, { from: s * perStrip, to: Math.min(count, (s + 1) * perStrip) }, totals, { low, high, at: s });
    lowest = Math.min(lowest, low[s]!);
    highest = Math.max(highest, high[s]!);
  }
  const [sum, squares, step, beyond] = totals as unknown as [number, number, number, number];
  const peak = Math.max(highest, -lowest);
  // 16 bits may have been written into 24 or into floating point: the smallest step that occurs tells
  const finest = Math.max(bits === undefined ? 0 : 2 ** (1 - bits), Math.min(step, coarsest));
  const tops = highest > lowest ? [flatTops(samples, highest, finest), flatTops(samples, lowest, finest)] : [];
  const firsts = tops.flatMap(({ first }) => (first < 0 ? [] : [first]));
  return Object.freeze({
    peak,
    rms: Math.sqrt(squares / count),
    offset: sum / count,
    duration: count / sampleRate,
    clippedSamples: tops.reduce((total, top) => total + top.samples, 0),
    clippedRuns: tops.reduce((total, top) => total + top.runs, 0),
    firstClipped: firsts.length === 0 ? undefined : Math.min(...firsts) / sampleRate,
    beyondFullScale: beyond,
    reachesFullScale: highest >= 1 - (bits === undefined ? 0 : 2 ** (1 - bits)) || lowest <= -1,
    outline: Object.freeze({ step: perStrip / sampleRate, low, high }),
  });
}

/** Ends of one strip; its sum, squares, smallest step and samples beyond full scale go to the totals. One hot loop, kept apart so that it stays fast. */
function readStrip(samples: Float32Array, { from, to }: { from: number; to: number }, totals: Float64Array, out: { low: Float32Array; high: Float32Array; at: number }): void {
  let sum = 0, squares = 0, least = samples[from]!, most = least, step = totals[2]!, before = samples[Math.max(0, from - 1)]!, beyond = 0;
  for (let i = from; i < to; i++) {
    const x = samples[i]!;
    sum += x;
    squares += x * x;
    if (x < least) least = x;
    else if (x > most) most = x;
    const change = Math.abs(x - before);
    if (change < step && change > 0) step = change;
    before = x;
  }
  if (most > 1 || least < -1) for (let i = from; i < to; i++) if (samples[i]! > 1 || samples[i]! < -1) beyond++;
  totals[0]! += sum;
  totals[1]! += squares;
  totals[2] = step;
  totals[3]! += beyond;
  out.low[out.at] = least;
  out.high[out.at] = most;
}

interface FlatTops {
  readonly samples: number;
  readonly runs: number;
  readonly first: number;
}

/** Lowest flat top that is looked for, steps of the converter: below it, noise of a few steps has equal samples by chance. */
const lowestTop = 64;

/** Runs of samples at an extreme value that the signal enters or leaves by more than a smooth one would. */
function flatTops(samples: Float32Array, value: number, finest: number): FlatTops {
  // 24 bits of a 32-bit number: a step that rounding alone can make
  const small = Math.max(finest, Math.abs(value) * 2 ** -23);
  const away = (i: number): number => (i < 0 || i >= samples.length ? 0 : Math.abs(samples[i]! - value));
  let total = 0, runs = 0, first = -1;
  if (Math.abs(value) < lowestTop * finest) return { samples: 0, runs: 0, first };
  for (let i = samples.indexOf(value); i >= 0 && i < samples.length; i = samples.indexOf(value, i)) {
    let end = i + 1;
    while (end < samples.length && samples[end] === value) end++;
    const length = end - i;
    if (length >= fewest && (Math.max(away(i - 1), away(end)) > smoothSteps.beside * small || Math.max(away(i - length), away(end - 1 + length)) > smoothSteps.further * small)) {
      total += end - i;
      runs++;
      if (first < 0) first = i;
    }
    i = end;
  }
  return { samples: total, runs, first };
}

/**
 * What must be known of a channel before it is used, in words.
 *
 * @param levels  from `measureLevels`
 * @param place   where: the file; channel: its number, no unit; only: true where the file has no other; startsAt: place of the first sample in the file, s
 */
export function levelNotes(levels: ChannelLevels, place: { readonly where: string; readonly channel: number; readonly only: boolean; readonly startsAt: number }): Note[] {
  const { where } = place, which = place.only ? "the recording" : `channel ${place.channel}`, notes: Note[] = [];
  if (levels.peak === 0) return [warning(where, `${which} holds nothing but zeros: no signal came to the recorder`)];
  if (levels.clippedSamples > 0) {
    const at = (place.startsAt + levels.firstClipped!).toFixed(3);
    notes.push(warning(where, `${which} is clipped: ${levels.clippedSamples} samples in ${levels.clippedRuns} flat ${levels.clippedRuns === 1 ? "top" : "tops"}, the first at ${at} s; lower the input and record again`));
  } else if (levels.reachesFullScale && levels.beyondFullScale === 0) notes.push(remark(where, `${which} reaches full scale; whether it is clipped cannot be told from so few samples`));
  if (levels.beyondFullScale > 0) notes.push(warning(where, `${which} goes beyond full scale: ${levels.beyondFullScale} samples, up to ${Number(levels.peak.toPrecision(3))} of full scale; it was kept as it is`));
  if (Math.abs(levels.offset) > 0.01 && levels.duration >= leastForMean) notes.push(remark(where, `${which} has a mean of ${(100 * levels.offset).toFixed(1)} % of full scale (direct current)`));
  return notes;
}
