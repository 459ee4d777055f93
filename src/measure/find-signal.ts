import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { powerOfTwoAbove } from "../math/fft.js";
import { type SweepShape, sweepTime, sweepValue } from "./sweep-phase.js";

/** Where a sweep was found in a channel. */
export interface FoundSweep {
  /** s after the first sample of the recording at which each repeat starts as it was heard, ascending; may be negative */
  readonly starts: readonly number[];
  /** height of the correlation over its root mean square in the surroundings, no unit; chance gives about 4 */
  readonly clearness: number;
  /** Hz, part of the band that was used */
  readonly band: readonly [number, number];
  /** s between the starts that the lower and the upper half of this part tell; 0 where one of them is not clear */
  readonly apart: number;
}

/** How a sweep is looked for. */
export interface FindOptions {
  /** samples a second of the channel, Hz */
  readonly sampleRate: number;
  /** s from one repeat to the next */
  readonly period: number;
  /** most repeats, no unit */
  readonly repeats: number;
}

/** Correlation that is taken for a find, over its root mean square: chance gives 4 to 5, another sweep up to 9 (tried); no unit. */
export const leastClearness: number = 12;

/** Correlation of half of the band from which its place is compared. */
const clearHalf = 5;

/**
 * Places in s at which a sweep starts in a channel, by correlation with a part of its band at a low rate; undefined when nothing there looks like it.
 * The low end of the band is tried first, then parts above it, so that a recording that starts late is found too.
 *
 * @param rates  from `lowerRates`: the channel, then at half the rate, and so on; full scale
 */
export function* findSweep(rates: readonly Float32Array[], shape: SweepShape, options: FindOptions): Generator<{ readonly text: string }, FoundSweep> {
  let best: FoundSweep | undefined;
  const top = Math.min(shape.stop, 0.45 * options.sampleRate);
  for (let from = shape.start; from < top * 0.8; ) {
    const to = Math.min(top, Math.max(4 * from, 600));
    yield { text: `looking for the signal from ${Math.round(from)} to ${Math.round(to)} Hz` };
    const found = findPart(rates, shape, { ...options, band: [from, top / to < 1.5 ? top : to] });
    if (best === undefined || found.clearness > best.clearness) best = found;
    if (found.clearness >= 2 * leastClearness) break;
    from = to;
  }
  yield { text: "comparing low and high" };
  const middle = Math.sqrt(best!.band[0] * best!.band[1]);
  const [low, high] = ([[best!.band[0], middle], [middle, best!.band[1]]] as const).map((band) => findPart(rates, shape, { ...options, band }));
  const isClear = low!.clearness >= clearHalf && high!.clearness >= clearHalf;
  return { ...best!, apart: isClear ? nearest(low!, high!) : 0 };
}

/** s between the starts of two finds that lie closest. */
function nearest(one: FoundSweep, other: FoundSweep): number {
  return one.starts.flatMap((a) => other.starts.map((b) => a - b)).reduce((least, d) => (Math.abs(d) < Math.abs(least) ? d : least));
}

/** s by which low and high may tell different starts: what a system delays its low end, and drift. */
export function mostApart({ band }: FoundSweep, shape: SweepShape): number {
  return 0.02 + 0.5 / band[0] + 1e-3 * shape.duration;
}

function findPart(rates: readonly Float32Array[], shape: SweepShape, { sampleRate, period, repeats, band }: FindOptions & { readonly band: readonly [number, number] }): FoundSweep {
  // halved until less than four times too many samples are left, then every so many-th
  let halvings = 0;
  while (halvings + 1 < rates.length && sampleRate / 2 ** (halvings + 2) >= 2.6 * band[1]) halvings++;
  const factor = Math.max(1, Math.floor(sampleRate / 2 ** halvings / (2.6 * band[1])));
  const low = decimated(rates[halvings]!, factor), rate = sampleRate / 2 ** halvings / factor;
  const from = sweepTime(shape, band[0]), to = sweepTime(shape, band[1]);
  const count = Math.max(2, Math.ceil((to - from) * rate));
  // the part of the sweep, its weight growing with frequency so that the correlation is short; both ends fade
  const reference = Float64Array.from({ length: count }, (_, n) => {
    const t = from + n / rate, place = n / count;
    return sweepValue({ ...shape, fadeIn: 0, fadeOut: 0, level: 1 }, t) * Math.exp((n / rate) / shape.growth) * Math.sin(Math.PI * Math.min(1, Math.max(0, place))) ** 0.5;
  });
  const { envelope, firstLag } = envelopeOfCorrelation(low, reference);
  const peaks = repeatsOf(envelope, { firstLag, rate, period, repeats });
  const surroundings = Math.max(2 * count, Math.ceil(rate));
  return { starts: peaks.places.map((lag) => lag / rate - from), clearness: clearnessAt(envelope, peaks.best - firstLag, { surroundings, hidden: Math.max(8, Math.ceil(0.08 * rate)) }), band, apart: 0 };
}

/** Every `factor`-th sample after a low-pass: windowed sinc of 8 zeros on each side. The place of sample 0 stays. */
function decimated(channel: Float32Array, factor: number): Float64Array {
  if (factor === 1) return Float64Array.from(channel);
  const reach = 6 * factor, taps = new Float64Array(2 * reach + 1);
  let sum = 0;
  for (let i = -reach; i <= reach; i++) {
    const x = (0.85 * i) / factor;
    sum += taps[i + reach] = (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)) * (0.5 + 0.5 * Math.cos((Math.PI * i) / (reach + 1)));
  }
  const out = new Float64Array(Math.ceil(channel.length / factor));
  for (let n = 0; n < out.length; n++) {
    const centre = n * factor, first = Math.max(0, centre - reach), last = Math.min(channel.length - 1, centre + reach);
    let total = 0;
    for (let i = first, t = first - centre + reach; i <= last; i++, t++) total += channel[i]! * taps[t]!;
    out[n] = total / sum;
  }
  return out;
}

/** Envelope of the correlation of a series with a reference, from the lag at which they only just touch. */
function envelopeOfCorrelation(series: Float64Array, reference: Float64Array): { envelope: Float32Array; firstLag: number } {
  const size = powerOfTwoAbove(Math.max(4 * reference.length, 4096)), hop = size - reference.length, fourier = makeRealFourier(size);
  const pair = makePairSpectra(size), filter = makePairSpectra(size), half = size / 2;
  fourier.forward(reference, [], filter);
  const firstLag = -reference.length, lags = series.length + reference.length;
  const envelope = new Float32Array(lags), real = new Float64Array(size), turned = new Float64Array(size);
  const product = makePairSpectra(size);
  const piece = (start: number): Float64Array => {
    const out = new Float64Array(size), a = Math.max(0, start), b = Math.min(series.length, start + size);
    if (b > a) out.set(series.subarray(a, b), a - start);
    return out;
  };
  const finish = (re: Float64Array, im: Float64Array, at: number): void => {
    if (at >= lags) return;
    for (let k = 0; k <= half; k++) {
      const r = re[k]! * filter.firstRe[k]! + im[k]! * filter.firstIm[k]!, i = im[k]! * filter.firstRe[k]! - re[k]! * filter.firstIm[k]!;
      product.firstRe[k] = r;
      product.firstIm[k] = i;
      product.secondRe[k] = i; // a quarter turn back: the Hilbert transform
      product.secondIm[k] = -r;
    }
    product.secondRe[0] = product.secondIm[0] = product.secondRe[half] = product.secondIm[half] = 0;
    fourier.inverse(product, real, turned);
    const end = Math.min(hop, lags - at);
    for (let n = 0; n < end; n++) envelope[at + n] = Math.hypot(real[n]!, turned[n]!);
  };
  for (let at = 0; at < lags; at += 2 * hop) {
    fourier.forward(piece(firstLag + at), piece(firstLag + at + hop), pair);
    finish(pair.firstRe, pair.firstIm, at);
    finish(pair.secondRe, pair.secondIm, at + hop);
  }
  return { envelope, firstLag };
}

/** Lags of the largest peak and of those a whole number of periods away that are at least 0.4 of it and hang together. */
function repeatsOf(envelope: Float32Array, { firstLag, rate, period, repeats }: { firstLag: number; rate: number; period: number; repeats: number }): { best: number; places: number[] } {
  let top = 0;
  for (let n = 1; n < envelope.length; n++) if (envelope[n]! > envelope[top]!) top = n;
  const places = [top];
  for (const way of [-1, 1]) {
    for (let k = 1; k < repeats && places.length < repeats; k++) {
      const centre = top + way * k * period * rate, reach = Math.ceil(0.004 * rate + k * period * rate * 6e-4);
      let found = -1;
      for (let n = Math.max(0, Math.floor(centre - reach)); n <= Math.min(envelope.length - 1, Math.ceil(centre + reach)); n++) if (found < 0 || envelope[n]! > envelope[found]!) found = n;
      if (found < 0 || envelope[found]! < 0.4 * envelope[top]!) break;
      places.push(found);
    }
  }
  return { best: top + firstLag, places: places.sort((a, b) => a - b).map((n) => n + firstLag) };
}

/** Height of a peak over the root mean square around it, its own surroundings hidden. */
function clearnessAt(envelope: Float32Array, place: number, { surroundings, hidden }: { surroundings: number; hidden: number }): number {
  let sum = 0, count = 0;
  for (let n = Math.max(0, place - surroundings); n <= Math.min(envelope.length - 1, place + surroundings); n++) {
    if (Math.abs(n - place) <= hidden) continue;
    sum += envelope[n]! ** 2;
    count++;
  }
  return count === 0 || sum === 0 ? (envelope[place]! > 0 ? Infinity : 0) : envelope[place]! / Math.sqrt(sum / count);
}
