/**
 * Complement of the error function, 1 - erf(x) for x of zero or more, no unit; to 14 digits.
 *
 * Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 7.1.6 (series) and 7.1.14 (continued fraction).
 */
export function complementOfError(x: number): number {
  if (x < 2) {
    let term = x, sum = x;
    for (let n = 1; Math.abs(term) > 1e-17 * sum && n < 100; n++) {
      term *= (2 * x * x) / (2 * n + 1);
      sum += term;
    }
    return 1 - (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * sum;
  }
  let fraction = x;
  for (let n = 60; n >= 1; n--) fraction = x + n / 2 / fraction;
  return Math.exp(-x * x) / (Math.sqrt(Math.PI) * fraction);
}
