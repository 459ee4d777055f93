import { makePairSpectra } from "../math/real-fourier.js";
import { type SweepBlocks, addConjugateProduct } from "./sweep-blocks.js";

/** Lags that are wanted, in samples after the start of the sweep; may be negative. */
export interface LagWindow {
  /** first lag, in samples, a whole number; no unit */
  readonly from: number;
  /** count of lags, no unit */
  readonly length: number;
}

/** How far a correlation has come. */
export interface CorrelationStep {
  /** transforms done, no unit */
  readonly done: number;
  /** transforms in all, no unit */
  readonly total: number;
}

/**
 * Recorded channels filtered by the filter that undoes a sweep, at the wanted lags only: for each channel and window one array, 1/full scale times full scale.
 *
 * @param channels  one or two channels of a recording, full scale
 * @param options   `at`: sample of the recording from which lags count, a whole number, may be negative; the windows of each channel
 * @remarks Linear, without wrapping round: each block of the filter meets a piece of the recording twice as long, and the lags of one block are kept.
 * Pieces are transformed once for all windows. Samples outside the recording count as zero. Yields after each transform.
 *
 * Source: block correlation, T. G. Stockham, AFIPS Conf. Proc. 28 (1966) 229; J. J. Shynk, IEEE Signal Process. Mag. 9 (1992) 14 (partitioned blocks).
 */
export function* correlateWindows(blocks: SweepBlocks, channels: readonly Float32Array[], { at, windows }: { readonly at: number; readonly windows: readonly (readonly LagWindow[])[] }): Generator<CorrelationStep, Float64Array[][]> {
  const { block, count, offset, fourier } = blocks, size = 2 * block;
  const low = Math.min(...windows.flat().map(({ from }) => from));
  const stepsOf = windows.map((own) => [...new Set(own.flatMap(({ from, length }) => {
    const first = Math.floor((from - low) / block), last = Math.floor((from + length - 1 - low) / block);
    return Array.from({ length: last - first + 1 }, (_, i) => first + i);
  }))].sort((a, b) => a - b));
  const sums = stepsOf.map((steps) => new Map(steps.map((m) => [m, { re: new Float64Array(block + 1), im: new Float64Array(block + 1) }])));
  const total = count + Math.max(...stepsOf.flat());
  const pair = makePairSpectra(size);
  const add = (re: Float64Array, im: Float64Array, { piece, channel }: { piece: number; channel: number }): void => {
    for (const m of stepsOf[channel]!) {
      const place = piece - m;
      if (place < 0 || place >= count) continue;
      const sum = sums[channel]!.get(m)!;
      addConjugateProduct(blocks.spectrum(place), re, im, sum.re, sum.im);
    }
  };
  const both = channels.length === 2;
  for (let piece = 0; piece < total; piece += both ? 1 : 2) {
    const start = at + offset + low + piece * block;
    const first = pieceOf(channels[0]!, start, size), second = both ? pieceOf(channels[1]!, start, size) : pieceOf(channels[0]!, start + block, size);
    fourier.forward(first, second, pair);
    add(pair.firstRe, pair.firstIm, { piece, channel: 0 });
    if (both) add(pair.secondRe, pair.secondIm, { piece, channel: 1 });
    else if (piece + 1 < total) add(pair.secondRe, pair.secondIm, { piece: piece + 1, channel: 0 });
    yield { done: Math.min(total, piece + (both ? 1 : 2)), total };
  }
  return channels.map((_, c) => {
    const lags = new Map<number, Float64Array>(), steps = stepsOf[c]!;
    for (let i = 0; i < steps.length; i += 2) {
      const a = sums[c]!.get(steps[i]!)!, b = sums[c]!.get(steps[i + 1] ?? steps[i]!)!;
      const first = new Float64Array(size), second = new Float64Array(size);
      fourier.inverse({ firstRe: a.re, firstIm: a.im, secondRe: b.re, secondIm: b.im }, first, second);
      lags.set(steps[i]!, first.slice(0, block));
      if (i + 1 < steps.length) lags.set(steps[i + 1]!, second.slice(0, block));
    }
    return windows[c]!.map(({ from, length }) => {
      const out = new Float64Array(length);
      for (let n = 0; n < length; ) {
        const lag = from + n - low, m = Math.floor(lag / block), inside = lag - m * block, run = Math.min(length - n, block - inside);
        out.set(lags.get(m)!.subarray(inside, inside + run), n);
        n += run;
      }
      return out;
    });
  });
}

/** Samples of a channel from a place on; what lies outside is zero. */
function pieceOf(channel: Float32Array, start: number, length: number): ArrayLike<number> {
  if (start >= 0 && start + length <= channel.length) return channel.subarray(start, start + length);
  const out = new Float32Array(length);
  const from = Math.max(0, start), to = Math.min(channel.length, start + length);
  if (to > from) out.set(channel.subarray(from, to), from - start);
  return out;
}
