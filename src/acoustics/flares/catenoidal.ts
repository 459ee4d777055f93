/**
 * Curvature of a catenoidal flare, y = y_T cosh(x/x0) from its throat (the smaller end, where the wall runs along the axis), 1/m: 1/x0 = acosh(y_M / y_T) / L.
 * As a section it is a hyperbolic flare with this curvature; its cut-off is c / (2 pi x0).
 *
 * Source: Salmon, J. Acoust. Soc. Am. 17 (1946) 212 (family parameter T = 0).
 *
 * @param s1      area at one end, m^2
 * @param s2      area at the other end, m^2
 * @param length  m, positive
 */
export function catenoidalCurvature(s1: number, s2: number, length: number): number {
  const r = Math.sqrt(Math.max(s1, s2) / Math.min(s1, s2));
  // acosh r = ln(1 + (r - 1) + sqrt((r - 1)(r + 1)))
  return Math.log1p(r - 1 + Math.sqrt((r - 1) * (r + 1))) / length;
}
