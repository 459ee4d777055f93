import { InputError } from "../errors.js";

/** A discrete Fourier transform of one size, with its twiddle factors worked out once. */
export interface Fourier {
  /** number of complex values, a power of two, no unit */
  readonly size: number;
  /** X_k = sum over n of x_n e^{-j 2 pi k n / size}, in place; real and imaginary parts, same unit as the values */
  readonly forward: (re: Float64Array, im: Float64Array) => void;
  /** x_n = 1 / size sum over k of X_k e^{+j 2 pi k n / size}, in place; undoes `forward` */
  readonly inverse: (re: Float64Array, im: Float64Array) => void;
}

/**
 * A discrete Fourier transform of a power of two, in place on split arrays; no unit. Rounding grows with the root of log2(size):
 * about 3e-16 of the root mean square for 65536 values.
 *
 * @param size  number of complex values, a power of two from 1 to 4194304
 * @throws InputError  for another size
 *
 * Source: J. W. Cooley, J. W. Tukey, Math. Comp. 19 (1965) 297 (radix 2, decimation in time).
 */
export function makeFourier(size: number): Fourier {
  if (!(Number.isInteger(size) && size >= 1 && size <= 4_194_304 && (size & (size - 1)) === 0)) {
    throw new InputError({ where: "Fourier transform", came: `${size} values`, expected: "a power of two from 1 to 4194304 is expected" });
  }
  const half = size >> 1;
  const cosines = new Float64Array(half), sines = new Float64Array(half);
  for (let i = 0; i < half; i++) {
    cosines[i] = Math.cos((2 * Math.PI * i) / size);
    sines[i] = Math.sin((2 * Math.PI * i) / size);
  }
  const order = bitReversed(size);

  const transform = (re: Float64Array, im: Float64Array): void => {
    for (let i = 0; i < size; i++) {
      const j = order[i]!;
      if (j <= i) continue;
      const r = re[i]!, m = im[i]!;
      re[i] = re[j]!;
      im[i] = im[j]!;
      re[j] = r;
      im[j] = m;
    }
    for (let span = 1; span < size; span <<= 1) {
      const stride = half / span;
      for (let start = 0; start < size; start += span << 1) {
        for (let k = 0, t = 0; k < span; k++, t += stride) {
          const a = start + k, b = a + span;
          const wr = cosines[t]!, wi = -sines[t]!;
          const xr = re[b]! * wr - im[b]! * wi, xi = re[b]! * wi + im[b]! * wr;
          re[b] = re[a]! - xr;
          im[b] = im[a]! - xi;
          re[a] = re[a]! + xr;
          im[a] = im[a]! + xi;
        }
      }
    }
  };

  return {
    size,
    forward: (re, im) => {
      checkLengths(size, re, im);
      transform(re, im);
    },
    inverse: (re, im) => {
      checkLengths(size, re, im);
      transform(im, re); // exchanged parts turn the sign of the exponent
      for (let i = 0; i < size; i++) {
        re[i] = re[i]! / size;
        im[i] = im[i]! / size;
      }
    },
  };
}

/** The smallest power of two that is not below a count, no unit. */
export function powerOfTwoAbove(count: number): number {
  let size = 1;
  while (size < count) size *= 2;
  return size;
}

function checkLengths(size: number, re: Float64Array, im: Float64Array): void {
  if (re.length !== size || im.length !== size) {
    throw new InputError({ where: "Fourier transform", came: `${re.length} real and ${im.length} imaginary values`, expected: `${size} of each are expected` });
  }
}

function bitReversed(size: number): Uint32Array {
  const order = new Uint32Array(size);
  for (let i = 1, j = 0; i < size; i++) {
    let bit = size >> 1;
    for (; (j & bit) !== 0; bit >>= 1) j ^= bit;
    j ^= bit;
    order[i] = j;
  }
  return order;
}
