/**
 * Sine and cosine of a complex number, no unit. An imaginary part beyond +-140 counts as that: both are about 1e60 then, their ratio is +-j to all digits, and nothing overflows.
 *
 * @param re   real part of the argument, rad
 * @param im   imaginary part of the argument
 * @param out  receives sin re, sin im, cos re, cos im at places 0 to 3
 */
export function sinCos(re: number, im: number, out: Float64Array): void {
  const s = Math.sin(re), c = Math.cos(re);
  if (im === 0) {
    out[0] = s;
    out[1] = 0;
    out[2] = c;
    out[3] = 0;
    return;
  }
  const e = Math.exp(Math.min(140, Math.max(-140, im))), f = 1 / e;
  const ch = (e + f) / 2;
  const sh = Math.abs(im) < 0.05 ? im * (1 + (im * im * (1 + (im * im) / 20)) / 6) : (e - f) / 2;
  out[0] = s * ch;
  out[1] = c * sh;
  out[2] = c * ch;
  out[3] = -s * sh;
}
