import { InputError } from "../errors.js";

/** Shapes of a window over time. */
export type WindowShape = "rectangular" | "Hann" | "Hamming" | "Blackman";

/** Cosine terms of each shape: w = sum of (-1)^k a_k cos(2 pi k n / N), periodic. Source: F. J. Harris, Proc. IEEE 66 (1978) 51. */
const terms: Readonly<Record<WindowShape, readonly number[]>> = {
  rectangular: [1],
  Hann: [0.5, 0.5],
  Hamming: [0.54, 0.46],
  Blackman: [0.42, 0.5, 0.08],
};

/**
 * Window of a shape, 0 to 1, no unit, for spectra: periodic, so that n values are one period and the first is the only one at the edge.
 *
 * @throws InputError  for a count that is not a whole number above zero
 *
 * Source: F. J. Harris, Proc. IEEE 66 (1978) 51.
 */
export function makeWindow(shape: WindowShape, count: number): Float64Array {
  if (!(Number.isInteger(count) && count >= 1)) throw new InputError({ where: "window", came: `${count} values`, expected: "a whole number above zero is expected" });
  const cosines = terms[shape];
  return Float64Array.from({ length: count }, (_, n) => cosines.reduce((sum, a, k) => sum + (k % 2 === 0 ? a : -a) * Math.cos((2 * Math.PI * k * n) / count), 0));
}

/** Mean of a window, 0 to 1, no unit: what a steady sine loses. Source: F. J. Harris 1978, equation 12. */
export function coherentGain(window: Float64Array): number {
  return sumOf(window, 1) / window.length;
}

/** Width of the rectangular filter that passes as much white noise, in bins of the spectrum, no unit. Source: F. J. Harris 1978, equation 11. */
export function noiseBandwidth(window: Float64Array): number {
  return (window.length * sumOf(window, 2)) / sumOf(window, 1) ** 2;
}

/** Loss of a sine halfway between two bins, dB, positive. Source: F. J. Harris 1978, equation 13. */
export function scallopLossDb(window: Float64Array): number {
  let re = 0, im = 0;
  window.forEach((w, n) => {
    re += w * Math.cos((Math.PI * n) / window.length);
    im -= w * Math.sin((Math.PI * n) / window.length);
  });
  return -20 * Math.log10(Math.hypot(re, im) / sumOf(window, 1));
}

/** Rising half of a raised cosine from 0 to 1, no unit, at a place from 0 to 1 (held outside): Hann's shape. */
export function halfWindow(place: number): number {
  return place <= 0 ? 0 : place >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * place);
}

function sumOf(window: Float64Array, power: number): number {
  let sum = 0;
  for (const w of window) sum += w ** power;
  return sum;
}
