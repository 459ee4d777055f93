/**
 * Shape factor F of the acoustic mass M = rho F / depth of a square half turn round a divider of no thickness, no unit: between the two cross-sections at the divider's end. Exact.
 *
 * Source: derived for this project by conformal mapping (Schwarz-Christoffel); equals plane finite elements of steady flow.
 *
 * @param h1   clear height of the run before, m
 * @param h2   clear height of the run after, m
 * @param gap  from the divider's end to the far wall, m
 */
export function thinTurnFactor(h1: number, h2: number, gap: number): number {
  // h1 sinh a = h2 sinh b and h1 a + h2 b = pi gap; the left side of the second grows with a
  const ratio = Math.log(h1 / h2);
  const partner = (a: number): number => inverseSinhOfExp(logSinh(a) + ratio);
  let low = 0, high = (Math.PI * gap) / h1;
  for (let i = 0; i < 200; i++) {
    const middle = (low + high) / 2;
    if (middle === low || middle === high) break;
    if (h1 * middle + h2 * partner(middle) < Math.PI * gap) low = middle;
    else high = middle;
  }
  const a = (low + high) / 2, b = partner(a);
  const sum = logCosh((a + b) / 2), difference = logCosh((a - b) / 2);
  const K = sum - difference, P = sum + difference;
  return gap / h1 + gap / h2 + (2 * P - 2 * logSinh(a) - 2 * logSinh(b) - (h2 / h1 + h1 / h2) * K) / Math.PI;
}

/**
 * The same for one square corner of 90 degrees between channels of two heights, from inner-corner plane to inner-corner plane, no unit. Exact.
 *
 * Source: derived for this project by conformal mapping; equals plane finite elements of steady flow.
 *
 * @param h1  clear height of one channel, m
 * @param h2  clear height of the other, m
 */
export function cornerFactor(h1: number, h2: number): number {
  const r = h2 / h1, s = h1 / h2;
  return s + r + (2 * Math.log((r + s) / 4) - 2 * r * Math.atan(r) - 2 * s * Math.atan(s)) / Math.PI;
}

/**
 * The same for a half turn round a divider of any thickness, no unit: exact for none and for a thick one, in between a fit to plane finite
 * elements (within 0.13 % for gaps up to the smaller height, 1.3 % at twice it). Cut outer corners add 0.5 (q / sqrt(h^2 + g^2))^4 each (F within 1 % up
 * to q = 0.65 of the smaller of height and gap).
 *
 * Source: derived and fitted for this project; see `tests/reference/field-turn-table-steady-flow`.
 */
export function turnFactor(turn: { readonly before: number; readonly after: number; readonly gap: number; readonly divider: number; readonly cut?: number }): number {
  const { before, after, gap, divider, cut = 0 } = turn;
  const thin = thinTurnFactor(before, after, gap), thick = cornerFactor(before, gap) + cornerFactor(after, gap);
  const square = thin + divider / gap + (thick - thin) * (1 - Math.exp(-3.5 * (divider / gap) ** 0.8));
  return square + cutFactor(before, gap, cut) + cutFactor(after, gap, cut);
}

/** What an outer corner cut at 45 degrees with a leg (m) adds to F, no unit; channels of heights h1 and h2, m. */
export function cutFactor(h1: number, h2: number, cut: number): number {
  return 0.5 * (cut / Math.hypot(h1, h2)) ** 4;
}

// In logarithms, so that narrow runs beside wide gaps do not overflow.
function logSinh(x: number): number {
  return x < 1 ? Math.log(Math.sinh(x)) : x + Math.log1p(-Math.exp(-2 * x)) - Math.LN2;
}

function logCosh(x: number): number {
  const size = Math.abs(x);
  return size + Math.log1p(Math.exp(-2 * size)) - Math.LN2;
}

function inverseSinhOfExp(q: number): number {
  return q > 20 ? q + Math.LN2 : Math.asinh(Math.exp(q));
}
