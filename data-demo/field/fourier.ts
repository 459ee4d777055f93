/**
 * Discrete Fourier transform in place of a power of two of complex values, no factor; the other way with the sign +1, then to be divided by the count. Unit of the values.
 *
 * Source: J. W. Cooley, J. W. Tukey, Math. Comp. 19 (1965) 297.
 */
export function transform(re: Float64Array, im: Float64Array, sign: -1 | 1 = -1): void {
  const count = re.length;
  for (let i = 1, j = 0; i < count; i++) {
    let bit = count >> 1;
    for (; (j & bit) !== 0; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i < j) {
      [re[i], re[j]] = [re[j]!, re[i]!];
      [im[i], im[j]] = [im[j]!, im[i]!];
    }
  }
  const cos = new Float64Array(count >> 1), sin = new Float64Array(count >> 1);
  for (let k = 0; k < count >> 1; k++) { cos[k] = Math.cos((2 * Math.PI * k) / count); sin[k] = sign * Math.sin((2 * Math.PI * k) / count); }
  for (let half = 1; half < count; half *= 2) {
    const stride = count / (2 * half);
    for (let start = 0; start < count; start += 2 * half) {
      for (let k = 0; k < half; k++) {
        const a = start + k, b = a + half, c = cos[k * stride]!, s = sin[k * stride]!;
        const partRe = re[b]! * c - im[b]! * s, partIm = re[b]! * s + im[b]! * c;
        re[b] = re[a]! - partRe;
        im[b] = im[a]! - partIm;
        re[a]! += partRe;
        im[a]! += partIm;
      }
    }
  }
}

/** Impulse response (samples at `rate` Hz, a power of two of them, early times at the end) of a response that is known at the multiples of rate/count from 0 Hz up and zero above; unit of the response. */
export function impulseOf(response: { readonly re: Float64Array; readonly im: Float64Array }, count: number): Float64Array {
  const re = new Float64Array(count), im = new Float64Array(count);
  re[0] = response.re[0]!;
  for (let k = 1; k < response.re.length; k++) {
    re[k] = re[count - k] = response.re[k]!;
    im[k] = response.im[k]!;
    im[count - k] = -response.im[k]!;
  }
  transform(re, im, 1);
  return re.map((value) => value / count);
}

/** Samples through an impulse response whose early times stand at its end (the last `early` samples); as many samples as went in, unit of the product. */
export function filtered(samples: Float64Array, impulse: Float64Array, early: number): Float64Array {
  let count = 1;
  while (count < samples.length + impulse.length) count *= 2;
  const re = new Float64Array(count), im = new Float64Array(count), late = impulse.length - early;
  re.set(samples);
  im.set(impulse.subarray(0, late));
  im.set(impulse.subarray(late), count - early);
  transform(re, im);
  // two real series in one: a = (z + conj z')/2, b = (z - conj z')/(2 j); their product has the symmetry of a real series
  const outRe = new Float64Array(count), outIm = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const m = (count - k) % count;
    const aRe = (re[k]! + re[m]!) / 2, aIm = (im[k]! - im[m]!) / 2, bRe = (im[k]! + im[m]!) / 2, bIm = (re[m]! - re[k]!) / 2;
    outRe[k] = aRe * bRe - aIm * bIm;
    outIm[k] = aRe * bIm + aIm * bRe;
  }
  transform(outRe, outIm, 1);
  return outRe.subarray(0, samples.length).map((value) => value / count);
}
