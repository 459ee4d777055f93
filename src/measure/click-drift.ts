import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import type { ClockDrift } from "./clock-drift.js";
import type { BinSpectrum } from "./sweep-division.js";
import { type SweepShape, sweepTime } from "./sweep-phase.js";

/** The timing click as it was played and heard. */
export interface HeardClick {
  /** samples of the click at the recording's rate, full scale; no unit */
  readonly click: Float64Array;
  /** recorded samples around it, full scale; no unit */
  readonly heard: Float64Array;
  /** place in `heard` at which the first sample of the click would stand if the sweep's arrival and the nominal distance told it, samples, not whole; no unit */
  readonly expectedAt: number;
  /** s from the first sample of the click to the start of the sweep, as played */
  readonly distance: number;
}

/**
 * Drift in millionths from a click and one sweep: both pass the same system, so the quotient of their responses is turned by the drift alone, by
 * 2 pi f d (distance + t(f)), t(f) the time at which the sweep passes f.
 *
 * @param spectrum  response by the sweep, found without a correction for drift
 * @param noise     power of the recorder's noise at a frequency in Hz, full scale squared
 * @remarks Looked for within 1000 ppm, then refined; the standard error follows from the scatter of what is left.
 *
 * Source: derived here; delay between two signals by their cross-spectrum, C. H. Knapp, G. C. Carter, IEEE Trans. ASSP-24 (1976) 320.
 */
export function driftFromClick(spectrum: BinSpectrum, shape: SweepShape, { click, heard, expectedAt, distance }: HeardClick): ClockDrift {
  const { size, sampleRate, bins, re, im } = spectrum, step = sampleRate / size;
  const fourier = makeRealFourier(size), pair = makePairSpectra(size);
  fourier.forward(click, heard.subarray(0, Math.min(size, heard.length)), pair);
  const points: { a: number; re: number; im: number }[] = [];
  for (let k = bins[0]; k <= bins[1]; k++) {
    const f = k * step;
    // expected: click times response, at its place; the quotient times the square of what is expected weighs each bin by its strength
    const er = pair.firstRe[k]! * re[k]! - pair.firstIm[k]! * im[k]!, ei = pair.firstRe[k]! * im[k]! + pair.firstIm[k]! * re[k]!;
    const turn = (2 * Math.PI * f * expectedAt) / sampleRate, c = Math.cos(turn), s = Math.sin(turn);
    const hr = pair.secondRe[k]! * c - pair.secondIm[k]! * s, hi = pair.secondRe[k]! * s + pair.secondIm[k]! * c;
    points.push({ a: 2 * Math.PI * f * (distance + sweepTime(shape, f)), re: hr * er + hi * ei, im: hi * er - hr * ei });
  }
  const fit = (drift: number): number => points.reduce((sum, p) => sum + p.re * Math.cos(p.a * drift) + p.im * Math.sin(p.a * drift), 0);
  const strength = points.reduce((sum, p) => sum + Math.hypot(p.re, p.im), 0);
  if (!(strength > 0)) return { ppm: 0, standardError: Infinity, from: "not found" };
  const widest = Math.sqrt(points.reduce((sum, p) => sum + Math.hypot(p.re, p.im) * p.a * p.a, 0) / strength), trial = 0.5 / widest;
  let drift = 0, best = -Infinity;
  const range = 1e-3, most = 20000, stride = Math.max(trial, (2 * range) / most);
  const thin = Math.max(1, Math.floor(points.length / 1500)), few = points.filter((_, i) => i % thin === 0);
  for (let d = -range; d <= range; d += stride) {
    let sum = 0;
    for (const p of few) sum += p.re * Math.cos(p.a * d) + p.im * Math.sin(p.a * d);
    if (sum > best) [best, drift] = [sum, d];
  }
  let error = Infinity;
  for (let round = 0; round < 6; round++) {
    let top = 0, sum = 0, scatter = 0;
    for (const p of points) {
      const c = Math.cos(p.a * drift), s = Math.sin(p.a * drift), inPhase = p.re * c + p.im * s, across = p.im * c - p.re * s;
      top += p.a * across;
      sum += p.a * p.a * Math.max(0, inPhase);
      scatter += (p.a * across) ** 2;
    }
    if (!(sum > 0)) return { ppm: 0, standardError: Infinity, from: "not found" };
    drift += top / sum;
    // zeros behind the click make neighbouring bins depend on each other
    error = (Math.sqrt(scatter) / sum) * Math.sqrt(size / Math.min(size, heard.length));
  }
  const agreement = fit(drift) / strength;
  if (agreement < 0.3) return { ppm: 0, standardError: Infinity, from: "not found" };
  return { ppm: drift * 1e6, standardError: error * 1e6, from: "click" };
}
