/** A uniform duct. */
export interface UniformDuct {
  /** length, m */
  readonly length: number;
  /** cross-section, m^2 */
  readonly area: number;
}

/** Clear heights of the two runs, gap beyond the divider's end and thickness of the divider, all in m. */
export interface TurnShape {
  /** clear height of the first run at the divider's end, m */
  readonly first: number;
  /** clear height of the second run there, m */
  readonly second: number;
  /** from the divider's end to the far wall, m */
  readonly gap: number;
  /** thickness of the divider, or of all that the path turns round, m */
  readonly divider: number;
}

/**
 * Shape number F (no unit) of a square half turn round a divider of no thickness: acoustic mass = density F / depth.
 *
 * Solve h1 sinh(a) = h2 sinh(b), h1 a + h2 b = pi g; K = ln[cosh((a+b)/2)/cosh((a-b)/2)], P = ln[(cosh a + cosh b)/2]; then
 * F = g/h1 + g/h2 + [2 P - 2 ln sinh a - 2 ln sinh b - (h2/h1 + h1/h2) K]/pi.
 * Source: derived by conformal mapping (Schwarz-Christoffel; steady potential flow), exact.
 */
export function thinTurnShape(h1: number, h2: number, options: { gap: number }): number {
  const { gap } = options;
  const angleB = (a: number): number => Math.asinh(h1 * Math.sinh(a) / h2);
  let low = 0, high = Math.PI * gap / h1;
  for (let i = 0; i < 200; i++) {
    const middle = (low + high) / 2;
    if (h1 * middle + h2 * angleB(middle) < Math.PI * gap) low = middle; else high = middle;
  }
  const a = (low + high) / 2, b = angleB(a);
  const k = Math.log(Math.cosh((a + b) / 2) / Math.cosh((a - b) / 2)), p = Math.log((Math.cosh(a) + Math.cosh(b)) / 2);
  return gap / h1 + gap / h2 + (2 * p - 2 * Math.log(Math.sinh(a)) - 2 * Math.log(Math.sinh(b)) - (h2 / h1 + h1 / h2) * k) / Math.PI;
}

/**
 * Shape number F (no unit) of one square corner between channels of heights h1 and h2 (m), from inner-corner plane to inner-corner plane.
 *
 * F = h1/h2 + h2/h1 + (1/pi) {2 ln[(h1^2 + h2^2)/(4 h1 h2)] - 2 (h2/h1) atan(h2/h1) - 2 (h1/h2) atan(h1/h2)}.
 * Source: derived by conformal mapping (Schwarz-Christoffel), exact.
 */
export function cornerShape(h1: number, h2: number): number {
  const ratio = h2 / h1;
  return ratio + 1 / ratio + (2 * Math.log((h1 * h1 + h2 * h2) / (4 * h1 * h2)) - 2 * ratio * Math.atan(ratio) - 2 / ratio * Math.atan(1 / ratio)) / Math.PI;
}

/** Uniform duct with the mass and the volume of one square corner between channels of heights h1 and h2 (m): length sqrt(F A), area depth sqrt(A/F), A = h1 h2. */
export function cornerDuct(h1: number, h2: number, options: { depth: number }): UniformDuct {
  const shape = cornerShape(h1, h2), plane = h1 * h2;
  return { length: Math.sqrt(shape * plane), area: options.depth * Math.sqrt(plane / shape) };
}

/**
 * Uniform ducts (m, m^2) that stand for a half turn from divider-end plane to divider-end plane, `depth` in m.
 *
 * Divider thinner than 0.8 gap: F = F_thin + t/g + [F_corner(h1, g) + F_corner(h2, g) - F_thin] (1 - exp(-3.5 (t/g)^0.8)), the plane areas of the halves
 * A_i = g (h_i + t/2), two ducts of equal length L = sqrt(F A1 A2/(A1 + A2)) and cross-sections depth A_i/L. Otherwise: corner, straight duct of height g and length t, corner.
 * Source: limits t -> 0 and t >> g derived by conformal mapping, exact; the exponential between them is a fit to finite elements, within 0.3 % in F for g up to 1.2 h.
 */
export function turnDucts(shape: TurnShape, depth: number): UniformDuct[] {
  const { first, second, gap, divider } = shape;
  if (divider >= 0.8 * gap) return [cornerDuct(first, gap, { depth }), { length: divider, area: gap * depth }, cornerDuct(gap, second, { depth })];
  const thin = thinTurnShape(first, second, { gap }), thick = cornerShape(first, gap) + cornerShape(second, gap);
  const f = thin + divider / gap + (thick - thin) * (1 - Math.exp(-3.5 * (divider / gap) ** 0.8));
  const a1 = gap * (first + divider / 2), a2 = gap * (second + divider / 2), length = Math.sqrt(f * a1 * a2 / (a1 + a2));
  return [{ length, area: depth * a1 / length }, { length, area: depth * a2 / length }];
}
