/** How many values (no unit) `bessel01` writes: real and imaginary parts of J0, J1, Y0, Y1, in this order. */
export const besselCount: number = 8;

const eulerGamma = 0.57721566490153286;
/** Where the power series of the Bessel functions hands over to the asymptotic one, |z|, no unit. */
export const seriesLimit: number = 14;

/**
 * Bessel functions J0, J1, Y0, Y1 of a complex argument in the right half plane, no unit.
 * Power series up to |z| = 14, asymptotic series above; relative error below 1e-10 of the largest of the four.
 * At z = 0, Y0 and Y1 are -Infinity and never NaN. An imaginary part beyond +-140 counts as that in the growth e^|im|: all four are too small by one common factor then.
 *
 * Source: Abramowitz & Stegun 1964, 9.1.10 to 9.1.13 (series), 9.2.5 to 9.2.10 (asymptotic).
 *
 * @param re   real part of the argument, zero or positive
 * @param im   imaginary part of the argument
 * @param out  receives 8 values from place `at`: J0 re, J0 im, J1 re, J1 im, Y0 re, Y0 im, Y1 re, Y1 im
 * @param at   first place to write
 */
export function bessel01(re: number, im: number, out: Float64Array, at: number): void {
  if (re * re + im * im <= seriesLimit * seriesLimit) series(re, im, out, at);
  else asymptotic(re, im, out, at);
}

function series(re: number, im: number, out: Float64Array, at: number): void {
  if (re === 0 && im === 0) {
    out.fill(0, at, at + 8);
    out[at] = 1;
    out[at + 4] = -Infinity;
    out[at + 6] = -Infinity;
    return;
  }
  // q = -(z/2)^2; terms t0 = q^k/(k!)^2 and t1 = q^k/(k!(k+1)!)
  const hr = re / 2, hi = im / 2;
  const qr = -(hr * hr - hi * hi), qi = -2 * hr * hi;
  let ar = 1, ai = 0, br = 1, bi = 0;
  let j0r = 1, j0i = 0, j1r = 1, j1i = 0, y0r = 0, y0i = 0;
  let harmonic = 0;
  let digamma = 1 - 2 * eulerGamma; // psi(1) + psi(2)
  let y1r = digamma, y1i = 0;
  for (let k = 1; k < 80; k++) {
    const a = 1 / (k * k), b = 1 / (k * (k + 1));
    let t = (ar * qr - ai * qi) * a;
    ai = (ar * qi + ai * qr) * a;
    ar = t;
    t = (br * qr - bi * qi) * b;
    bi = (br * qi + bi * qr) * b;
    br = t;
    harmonic += 1 / k;
    digamma += 1 / k + 1 / (k + 1);
    j0r += ar; j0i += ai;
    j1r += br; j1i += bi;
    y0r -= harmonic * ar; y0i -= harmonic * ai;
    y1r += digamma * br; y1i += digamma * bi;
    if (Math.abs(ar) + Math.abs(ai) < 1e-18) break;
  }
  // J1 = (z/2) sum
  const J1r = hr * j1r - hi * j1i, J1i = hr * j1i + hi * j1r;
  const lr = 0.5 * Math.log(hr * hr + hi * hi), li = Math.atan2(hi, hr);
  const gr = lr + eulerGamma;
  const c = 2 / Math.PI;
  out[at] = j0r; out[at + 1] = j0i;
  out[at + 2] = J1r; out[at + 3] = J1i;
  out[at + 4] = c * (gr * j0r - li * j0i + y0r);
  out[at + 5] = c * (gr * j0i + li * j0r + y0i);
  const inverse = 1 / (re * re + im * im);
  const sr = hr * y1r - hi * y1i, si = hr * y1i + hi * y1r;
  out[at + 6] = c * (-re * inverse + lr * J1r - li * J1i) - sr / Math.PI;
  out[at + 7] = c * (im * inverse + lr * J1i + li * J1r) - si / Math.PI;
}

function asymptotic(re: number, im: number, out: Float64Array, at: number): void {
  const inverse = 1 / (re * re + im * im);
  const wr = re * inverse, wi = -im * inverse; // 1/z
  // sqrt(2/(pi z)), principal value
  const size = Math.sqrt(Math.sqrt(wr * wr + wi * wi) * (2 / Math.PI));
  const angle = Math.atan2(wi, wr) / 2;
  const sr = size * Math.cos(angle), si = size * Math.sin(angle);
  for (let order = 0; order <= 1; order++) {
    modulusSeries(re, im, order, modulus, 0);
    const pr = modulus[0]!, pi = modulus[1]!, qr = modulus[2]!, qi = modulus[3]!;
    const chi = re - (order / 2 + 0.25) * Math.PI;
    const far = Math.min(140, Math.max(-140, im));
    const ch = Math.cosh(far), sh = Math.sinh(far), cs = Math.cos(chi), sn = Math.sin(chi);
    const cr = cs * ch, ci = -sn * sh, dr = sn * ch, di = cs * sh; // cos, sin of chi + j im
    const jr = pr * cr - pi * ci - (qr * dr - qi * di), ji = pr * ci + pi * cr - (qr * di + qi * dr);
    const yr = pr * dr - pi * di + (qr * cr - qi * ci), yi = pr * di + pi * dr + (qr * ci + qi * cr);
    const o = at + 2 * order;
    out[o] = sr * jr - si * ji; out[o + 1] = sr * ji + si * jr;
    out[o + 4] = sr * yr - si * yi; out[o + 5] = sr * yi + si * yr;
  }
}

const modulus = new Float64Array(4);

/**
 * The slowly varying parts P and Q of the Bessel functions at a large argument, no unit: J = sqrt(2/(pi z)) (P cos x - Q sin x),
 * Y = sqrt(2/(pi z)) (P sin x + Q cos x), x = z - order pi/2 - pi/4. Relative error below 1e-12 for |z| above 14.
 *
 * Source: Abramowitz & Stegun 1964, 9.2.9 and 9.2.10.
 *
 * @param re     real part of the argument
 * @param im     imaginary part of the argument
 * @param order  0 or 1
 * @param out    receives P re, P im, Q re, Q im from place `at`
 * @param at     first place to write
 */
export function modulusSeries(re: number, im: number, order: number, out: Float64Array, at: number): void {
  const inverse = 1 / (re * re + im * im);
  const wr = re * inverse, wi = -im * inverse;
  const mu = 4 * order * order;
  let tr = 1, ti = 0, pr = 1, pi = 0, qr = 0, qi = 0, last = Infinity;
  for (let k = 1; k < 60; k++) {
    const factor = (mu - (2 * k - 1) * (2 * k - 1)) / (8 * k);
    const nr = (tr * wr - ti * wi) * factor, ni = (tr * wi + ti * wr) * factor;
    const now = Math.abs(nr) + Math.abs(ni);
    if (now > last || now < 1e-18) break;
    last = now;
    tr = nr;
    ti = ni;
    const sign = k % 4 < 2 ? 1 : -1; // from k = 1: Q gets +, P gets -, Q gets -, P gets +
    if (k % 2 === 1) {
      qr += sign * tr;
      qi += sign * ti;
    } else {
      pr += sign * tr;
      pi += sign * ti;
    }
  }
  out[at] = pr;
  out[at + 1] = pi;
  out[at + 2] = qr;
  out[at + 3] = qi;
}

/**
 * Ratio J1(z)/J0(z) for a complex argument in the lower half plane, no unit: the profile function of
 * viscous and thermal boundary layers. Continued fraction up to |z| = 25, asymptotic series above; relative error below 1e-12.
 *
 * Source: Abramowitz & Stegun 1964, 9.1.73 (continued fraction); asymptotic series derived here from the
 * Riccati equation r' = 1 - r/z + r^2.
 *
 * @param re   real part, zero or positive
 * @param im   imaginary part, negative (as for sqrt(-j) times a positive number)
 * @param out  receives the real and imaginary part of the ratio at places `at` and `at` + 1
 * @param at   first place to write
 */
export function besselRatio10(re: number, im: number, out: Float64Array, at: number): void {
  const square = re * re + im * im;
  const inverse = square > 0 ? 1 / square : Infinity;
  if (square > 625) {
    const wr = re * inverse, wi = -im * inverse;
    // Horner over the series r = -j + c1 (1/z) + c2 (1/z)^2 + ...; coefficients alternate real, imaginary
    let r = 0, i = 0;
    for (let n = ratioSeries.length - 1; n >= 1; n--) {
      const c = ratioSeries[n]!;
      const ar = n % 2 === 1 ? r + c : r, ai = n % 2 === 1 ? i : i + c;
      r = ar * wr - ai * wi;
      i = ar * wi + ai * wr;
    }
    out[at] = r;
    out[at + 1] = i - 1;
    return;
  }
  if (square === 0) {
    out[at] = 0;
    out[at + 1] = 0;
    return;
  }
  // z/2 / (1 - (z/2)^2/(1*2) / (1 - (z/2)^2/(2*3) / ...)), evaluated backwards
  const hr = re / 2, hi = im / 2;
  const qr = hr * hr - hi * hi, qi = 2 * hr * hi;
  let dr = 1, di = 0;
  const terms = 24 + Math.ceil(1.2 * Math.sqrt(square));
  for (let n = terms; n >= 1; n--) {
    const scale = 1 / (n * (n + 1) * (dr * dr + di * di));
    const tr = (qr * dr + qi * di) * scale, ti = (qi * dr - qr * di) * scale;
    dr = 1 - tr;
    di = -ti;
  }
  const scale = 1 / (dr * dr + di * di);
  out[at] = (hr * dr + hi * di) * scale;
  out[at + 1] = (hi * dr - hr * di) * scale;
}

// r = sum a_n z^-n with a_0 = -j: 2 a_0 a_n = -(n-2) a_{n-1} - sum_{i=1}^{n-1} a_i a_{n-i}, and a_1 = 1/2.
// a_n is real for odd n and imaginary for even n; the table keeps the real number in question.
const ratioSeries: Float64Array = ratioCoefficients(14);

function ratioCoefficients(count: number): Float64Array {
  const re = new Float64Array(count), im = new Float64Array(count);
  im[0] = -1;
  re[1] = 0.5;
  for (let n = 2; n < count; n++) {
    let sr = (n - 2) * re[n - 1]!, si = (n - 2) * im[n - 1]!;
    for (let i = 1; i < n; i++) {
      sr += re[i]! * re[n - i]! - im[i]! * im[n - i]!;
      si += re[i]! * im[n - i]! + im[i]! * re[n - i]!;
    }
    // a_n = -s / (2 a_0) = -s / (-2j) = s / (2j) = -j s / 2
    re[n] = si / 2;
    im[n] = -sr / 2;
  }
  const out = new Float64Array(count);
  for (let n = 0; n < count; n++) out[n] = n % 2 === 1 ? re[n]! : im[n]!;
  return out;
}
