import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import type { RealFourier } from "../math/real-fourier.js";
import { type SweepShape, sweepFade, sweepFrequency } from "./sweep-phase.js";
import { halfWindow } from "./windows.js";

/** Spectrum of one block of the filter that undoes a sweep, over the bins that the sweep passes in it and some around: the rest neighbouring blocks cancel. */
export interface BlockSpectrum {
  /** first bin, no unit */
  readonly first: number;
  /** real part from the first bin on; 1/full scale (no unit) */
  readonly re: Float64Array;
  /** imaginary part from the first bin on; 1/full scale (no unit) */
  readonly im: Float64Array;
}

/** Bins kept on either side of what a block passes: what its edges leave there is 94 dB down, and cancelled by its neighbour but for the outermost bins. */
const around = 16384;

/**
 * The filter that undoes a sweep, cut into blocks, and what it makes of the sweep itself. The filter is the sweep with a weight that grows with
 * its frequency, so that filter times sweep is flat in the band; its ends fade in frequency, so that filter times sweep is short in time.
 */
export interface SweepBlocks {
  /** transform of two blocks, no unit */
  readonly fourier: RealFourier;
  /** samples of a block, half of the transform, no unit */
  readonly block: number;
  /** blocks of the filter, no unit */
  readonly count: number;
  /** sample of the sweep with which the first block starts, no unit */
  readonly offset: number;
  /** bins of the transform that are kept, from and to, no unit */
  readonly bins: readonly [number, number];
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** spectrum of a block of the filter, by its place from 0; kept as long as memory allows */
  readonly spectrum: (place: number) => BlockSpectrum;
  /** filter times sweep, at lags from -n to n samples, n at least the reach asked for; 2 n + 1 values, no unit */
  readonly own: () => Float64Array;
}

/** Part of a sweep by the times in s between which it rises (raised cosine) from 0 to 1 and falls again. */
export interface SweepPart {
  /** s, from and to */
  readonly rise: readonly [number, number];
  /** s, from and to */
  readonly fall: readonly [number, number];
}

/** Bytes that the spectra of the blocks may take. */
const mostBytes = 200e6;

/**
 * Blocks of the filter for a sweep at a sample rate in Hz: filter times sweep is about 1 in the band.
 *
 * @param block   samples of a block, a power of two
 * @param ringed  blocks that are needed at the same time, no unit
 * @param reach   lags of filter times sweep that are wanted to each side, samples
 * @param part    part of the filter that is wanted (all of it when missing)
 * @param held    part of the sweep that a lowered rate holds (all of it when missing)
 *
 * Source: weight that grows with frequency, A. Farina, AES 108th Convention, preprint 5093 (2000); S. Mueller, P. Massarani, J. Audio Eng. Soc. 49 (2001) 443.
 */
export function makeSweepBlocks(shape: SweepShape, { sampleRate, block, ringed, reach, part, held }: { readonly sampleRate: number; readonly block: number; readonly ringed: number; readonly reach: number; readonly part?: SweepPart; readonly held?: SweepPart }): SweepBlocks {
  const size = 2 * block, fourier = makeRealFourier(size), pair = makePairSpectra(size);
  const begin = part === undefined ? 0 : Math.max(0, Math.floor((part.rise[0] * sampleRate) / block)), offset = begin * block;
  const samples = Math.ceil(Math.min(shape.duration, part?.fall[1] ?? Infinity) * sampleRate), count = Math.max(1, Math.ceil(samples / block) - begin);
  const bins = [0, block] as const;
  let bytes = 0; // of the spectra kept
  const kept = new Map<number, BlockSpectrum>();
  const sweep = new Float64Array(size), filter = new Float64Array(block);
  const steps = Math.max(0, Math.ceil((reach - block / 2) / block)); // pieces of the sweep to each side that a block of the filter meets
  const sums = Array.from({ length: 2 * steps + 1 }, () => ({ re: new Float64Array(block + 1), im: new Float64Array(block + 1) }));
  const lastFilters: BlockSpectrum[] = [], lastPieces: { re: Float64Array; im: Float64Array }[] = []; // newest first
  let summed = -1; // next place for the sum; the piece before the first block holds the sweep's start too
  let at = NaN; // place whose surroundings stand in `sweep`: from half a block before it to half a block after its end

  const addOwn = (filterNow: BlockSpectrum, pieceRe: Float64Array, pieceIm: Float64Array): void => {
    lastFilters.unshift(filterNow);
    lastPieces.unshift(steps === 0 ? { re: pieceRe, im: pieceIm } : { re: pieceRe.slice(), im: pieceIm.slice() });
    if (lastFilters.length > steps + 1) [lastFilters, lastPieces].forEach((list) => list.pop());
    for (let m = 0; m < lastFilters.length; m++) {
      const later = sums[steps + m]!, earlier = sums[steps - m]!, now = lastPieces[0]!, before = lastPieces[m]!;
      addConjugateProduct(lastFilters[m]!, now.re, now.im, later.re, later.im);
      if (m > 0) addConjugateProduct(filterNow, before.re, before.im, earlier.re, earlier.im);
    }
  };

  const build = (place: number): BlockSpectrum => {
    if (place === 0 && summed === -1) build(-1);
    const start = offset + place * block - block / 2;
    if (at === place - 1) {
      sweep.copyWithin(0, block);
      fillSweep(shape, sweep.subarray(block), { from: start + block, sampleRate, part: held });
    } else fillSweep(shape, sweep, { from: start, sampleRate, part: held });
    at = place;
    fillFilter(shape, filter, { from: offset + place * block, sampleRate, part });
    fourier.forward(filter, sweep, pair);
    const bin = (time: number): number => (sweepFrequency(shape, Math.min(time, shape.duration)) * size) / sampleRate;
    const first = Math.max(bins[0], Math.floor(bin((offset + place * block) / sampleRate)) - around), last = Math.max(first, Math.min(bins[1], Math.ceil(bin((offset + (place + 1) * block) / sampleRate)) + around));
    const spectrum: BlockSpectrum = { first, re: pair.firstRe.slice(first, last + 1), im: pair.firstIm.slice(first, last + 1) };
    if (place === summed) {
      summed++;
      addOwn(spectrum, pair.secondRe, pair.secondIm);
    }
    return spectrum;
  };

  return {
    fourier, block, count, offset, bins, sampleRate,
    spectrum(place) {
      let found = kept.get(place);
      if (found === undefined) {
        found = build(place);
        for (const [old, { re }] of kept) {
          if (bytes <= mostBytes || kept.size < ringed + 2) break;
          kept.delete(old);
          bytes -= 16 * re.length;
        }
        kept.set(place, found);
        bytes += 16 * found.re.length;
      }
      return found;
    },
    own() {
      for (let place = summed; place < count + steps; place++) build(place); // beyond the last block the filter is empty, the sweep's end is not
      const out = new Float64Array((2 * steps + 1) * block + 1), lags = new Float64Array(size), nothing = new Float64Array(size);
      const zero = new Float64Array(block + 1);
      sums.forEach(({ re, im }, i) => {
        fourier.inverse({ firstRe: re, firstIm: im, secondRe: zero, secondIm: zero }, lags, nothing);
        out.set(lags.subarray(0, block + 1), i * block);
      });
      return out;
    },
  };
}

/** Adds conj(a) b to a sum, over the bins that a has. */
export function addConjugateProduct({ first, re, im }: BlockSpectrum, bRe: Float64Array, bIm: Float64Array, sumRe: Float64Array, sumIm: Float64Array): void {
  for (let i = 0, k = first; i < re.length; i++, k++) {
    const ar = re[i]!, ai = im[i]!, br = bRe[k]!, bi = bIm[k]!;
    sumRe[k]! += ar * br + ai * bi;
    sumIm[k]! += ar * bi - ai * br;
  }
}

/** s, how long the filter fades at its start and at its end: in half an octave and in a quarter, no more than a part of the sweep. */
function filterFades({ growth, duration }: SweepShape): SweepShape["fadeIn"][] {
  return [Math.min((growth * Math.LN2) / 2, duration / 6), Math.min((growth * Math.LN2) / 4, duration / 12)];
}

/** What a run of samples is made with. */
interface Filling {
  readonly from: number;
  readonly sampleRate: number;
  readonly part: SweepPart | undefined;
}

function fillFilter(shape: SweepShape, into: Float64Array, filling: Filling): void {
  const [fadeIn, fadeOut] = filterFades(shape);
  const weight = (4 * shape.start) / (shape.level * filling.sampleRate * filling.sampleRate * shape.growth);
  fillSines({ ...shape, level: 1, fadeIn: fadeIn!, fadeOut: fadeOut! }, into, { ...filling, weight });
}

function fillSweep(shape: SweepShape, into: Float64Array, filling: Filling): void {
  fillSines(shape, into, { ...filling, weight: undefined });
}

/** Sines of a sweep with its fades from a sample on; the weight, where there is one, grows with frequency. */
function fillSines(shape: SweepShape, into: Float64Array, { from, sampleRate, part, weight }: Filling & { weight: number | undefined }): void {
  const { start, growth, duration, fadeIn, fadeOut, level } = shape;
  const step = Math.exp(1 / (growth * sampleRate)), turnsPerGrowth = start * growth;
  const [rise, risen] = part?.rise ?? [-2, -1], [fall, fallen] = part?.fall ?? [duration + 1, duration + 2];
  const restart = 256; // samples after which the product of steps is set anew, so that rounding stays below 1e-13
  for (let begin = 0; begin < into.length; begin += restart) {
    const end = Math.min(into.length, begin + restart), t0 = (from + begin) / sampleRate, t1 = (from + end) / sampleRate;
    if (t1 <= Math.max(0, rise) || t0 >= Math.min(duration, fallen)) {
      into.fill(0, begin, end);
      continue;
    }
    const flat = t0 >= Math.max(fadeIn, risen, 0) && t1 <= Math.min(duration - fadeOut, fall);
    let grown = Math.exp(t0 / growth);
    for (let n = begin; n < end; n++) {
      const turns = turnsPerGrowth * (grown - 1), t = (from + n) / sampleRate;
      const height = flat ? level : level * sweepFade(shape, t) * halfWindow((t - rise) / (risen - rise)) * halfWindow((fallen - t) / (fallen - fall));
      into[n] = (weight === undefined ? height : height * weight * grown) * Math.sin(2 * Math.PI * (turns - Math.floor(turns)));
      grown *= step;
    }
  }
}
