import { makePairSpectra } from "../math/real-fourier.js";
import { type BinSpectrum, type OwnSpectrum, fadedLags } from "./sweep-division.js";
import type { OrderWindow } from "./order-windows.js";

/** Least share of a sine that whole samples may leave of a mean; below it each repeat is moved by its own fraction. */
const leastShare = 0.5;

/**
 * Spectra of the mean over repeats of filtered lags, each repeat moved earlier by a time in s; for one or two windows at once, same unit as the lags.
 *
 * @param lags  for each window the lags of every repeat
 * @remarks Repeats are moved by whole samples and added; what the fractions left over take from the sum is the same for every response, known, and divided out.
 */
export function meanOfLags(lags: readonly (readonly Float32Array[])[], earlier: readonly number[], { own, windows, division }: { readonly own: OwnSpectrum; readonly windows: readonly OrderWindow[]; readonly division: BinSpectrum }): { re: Float64Array; im: Float64Array }[] {
  const { size, fourier } = own, half = size / 2, pair = makePairSpectra(size), { sampleRate } = division, n = earlier.length;
  const whole = earlier.map((seconds) => Math.round(seconds * sampleRate));
  const share = shareOfFractions(earlier.map((seconds, k) => seconds * sampleRate - whole[k]!), size);
  const isWhole = Math.min(...share.re.slice(0, Math.ceil((division.bins[1] / half) * share.last) + 1).map((re, i) => Math.hypot(re, share.im[i]!))) >= leastShare;
  const sums = lags.map(() => ({ re: new Float64Array(half + 1), im: new Float64Array(half + 1) }));
  if (isWhole) {
    fourier.forward(shifted(lags[0]!, whole, windows[0]!), lags[1] === undefined ? [] : shifted(lags[1], whole, windows[1]!), pair);
    sums.forEach(({ re, im }, i) => {
      const fromRe = i === 0 ? pair.firstRe : pair.secondRe, fromIm = i === 0 ? pair.firstIm : pair.secondIm;
      for (let k = 0; k <= half; k++) {
        const place = Math.min((k / half) * share.last, share.last - 1e-9), below = Math.floor(place), part = place - below;
        const dr = share.re[below]! * (1 - part) + share.re[below + 1]! * part, di = share.im[below]! * (1 - part) + share.im[below + 1]! * part, d = Math.max(1e-6, dr * dr + di * di);
        re[k] = (fromRe[k]! * dr + fromIm[k]! * di) / d;
        im[k] = (fromIm[k]! * dr - fromRe[k]! * di) / d;
      }
    });
    return sums;
  }
  for (let r = 0; r < n; r++) {
    fourier.forward(fadedLags(lags[0]![r]!, windows[0]!), lags[1] === undefined ? [] : fadedLags(lags[1][r]!, windows[1]!), pair);
    const turn = (2 * Math.PI * earlier[r]! * sampleRate) / size;
    sums.forEach(({ re, im }, i) => {
      const fromRe = i === 0 ? pair.firstRe : pair.secondRe, fromIm = i === 0 ? pair.firstIm : pair.secondIm;
      for (let k = 0; k <= half; k++) {
        const c = Math.cos(turn * k) / n, s = Math.sin(turn * k) / n;
        re[k]! += fromRe[k]! * c - fromIm[k]! * s;
        im[k]! += fromRe[k]! * s + fromIm[k]! * c;
      }
    });
  }
  return sums;
}

/** Mean of lags moved earlier by whole samples, its ends faded. */
function shifted(lags: readonly Float32Array[], by: readonly number[], window: OrderWindow): Float64Array {
  const count = lags[0]!.length, out = new Float64Array(count);
  lags.forEach((one, r) => {
    const shift = by[r]!;
    for (let i = Math.max(0, -shift), end = Math.min(count, count - shift); i < end; i++) out[i]! += one[i + shift]! / lags.length;
  });
  return fadedLags(out, window);
}

/** Mean of e^{-j omega fraction} from zero to half the rate, no unit: smooth, so a few thousand values do. */
function shareOfFractions(fractions: readonly number[], size: number): { re: Float64Array; im: Float64Array; last: number } {
  const last = Math.min(size / 2, 4096), re = new Float64Array(last + 1), im = new Float64Array(last + 1);
  for (const fraction of fractions) {
    for (let i = 0; i <= last; i++) {
      const turn = (Math.PI * i * fraction) / last;
      re[i]! += Math.cos(turn) / fractions.length;
      im[i]! -= Math.sin(turn) / fractions.length;
    }
  }
  return { re, im, last };
}
