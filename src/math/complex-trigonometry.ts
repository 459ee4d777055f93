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

const trig = new Float64Array(4);

/**
 * cos(y) and sin(y)/y for y = sqrt(w) of a complex number w, no unit. Both are even in y, so the branch of the root does not matter; near w = 0 by their series.
 *
 * @param re   real part of w
 * @param im   imaginary part of w
 * @param out  receives cos re, cos im, sin(y)/y re, im at places 0 to 3
 */
export function cosAndSincOfRoot(re: number, im: number, out: Float64Array): void {
  const size = Math.sqrt(re * re + im * im);
  if (size < 1e-4) {
    const squareRe = re * re - im * im, squareIm = 2 * re * im; // w^2
    out[0] = 1 - re / 2 + squareRe / 24;
    out[1] = -im / 2 + squareIm / 24;
    out[2] = 1 - re / 6 + squareRe / 120;
    out[3] = -im / 6 + squareIm / 120;
    return;
  }
  let yr = Math.sqrt((size + Math.abs(re)) / 2), yi = im / (2 * yr);
  if (re < 0) {
    const t = yr;
    yr = Math.abs(yi);
    yi = im < 0 ? -t : t;
  }
  sinCos(yr, yi, trig);
  const q = yr * yr + yi * yi;
  out[0] = trig[2]!;
  out[1] = trig[3]!;
  out[2] = (trig[0]! * yr + trig[1]! * yi) / q;
  out[3] = (trig[1]! * yr - trig[0]! * yi) / q;
}
