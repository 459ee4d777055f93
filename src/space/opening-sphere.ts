/**
 * How an opening acts at a distance: as a sphere whose surface is the area of the opening, the flow spread evenly over it. Every mean over it is then exact: the mean
 * of a wave over a sphere of radius b is sin(kb)/(kb) times the wave at the centre, in any direction and for any mode of a room. Nearby an opening is a piston;
 * the sphere has the same volume velocity and, with this radius, a radiation resistance that agrees with that of the piston up to (ka)^4 and never exceeds it
 * by more than 0.3 %, so that putting the piston in the place of the sphere's own impedance keeps the matrix passive.
 *
 * @param area    m^2
 * @param images  openings that move as one: itself and the images in the walls that it touches, no unit
 * @returns       radius, m
 *
 * Source: mean value of waves over a sphere, Morse & Ingard, Theoretical Acoustics, 1968, chapter 7; choice of the radius derived here.
 */
export function sphereRadius(area: number | undefined, images: number = 1): number {
  return area === undefined ? 0 : Math.sqrt((images * area) / (4 * Math.PI));
}

/** sin x / x, no unit; 1 at zero. */
export function sinc(x: number): number {
  return Math.abs(x) < 1e-4 ? 1 - (x * x) / 6 : Math.sin(x) / x;
}

/**
 * Mean of e^{-jkd}/(4 pi d) over two spheres, 1/m, also where they overlap or are the same.
 *
 * @param k         wave number, 1/m
 * @param a         radius of one, m
 * @param b         radius of the other, m; zero for a point
 * @param distance  of their centres, m; not zero when both are points
 * @param out       receives the real and the imaginary part, 1/m
 *
 * Source: derived here from the potential of a sphere, constant times sin(kr)/(kr) inside and e^{-jkr}/r outside.
 */
export function sphereMean(k: number, a: number, b: number, distance: number, out: Float64Array): void {
  const d = distance, large = Math.max(a, b), small = Math.min(a, b);
  if (d >= a + b) {
    const size = (sinc(k * a) * sinc(k * b)) / (4 * Math.PI * d);
    out[0] = size * Math.cos(k * d);
    out[1] = -size * Math.sin(k * d);
    return;
  }
  if (d + small <= large) {
    const size = (sinc(k * d) * sinc(k * small)) / (4 * Math.PI * large);
    out[0] = size * Math.cos(k * large);
    out[1] = -size * Math.sin(k * large);
    return;
  }
  // the smaller sphere crosses the larger one: rings of it at r from the centre of the larger one, inside up to `large`, outside up to `far`
  const near = Math.abs(d - small), far = d + small;
  const inside = (0.5 * (large + near) * (large - near) * sinc((k * (large + near)) / 2) * sinc((k * (large - near)) / 2)) / (4 * Math.PI * large);
  const outside = (sinc(k * large) * (far - large) * sinc((k * (far - large)) / 2)) / (4 * Math.PI);
  const middle = (k * (far + large)) / 2, scale = 1 / (2 * d * small);
  out[0] = scale * (inside * Math.cos(k * large) + outside * Math.cos(middle));
  out[1] = -scale * (inside * Math.sin(k * large) + outside * Math.sin(middle));
}
