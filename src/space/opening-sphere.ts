import { sinCos } from "../math/complex-trigonometry.js";

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

/** A complex wave number, 1/m: imaginary part negative where waves decay, zero where nothing is lost. */
export interface WaveNumber {
  /** real part, 1/m */
  re: number;
  /** imaginary part, 1/m */
  im: number;
}

const scratch = new Float64Array(4);

/** sin(kx)/(kx), no unit; out receives the real and the imaginary part. */
export function sphereFactor(k: WaveNumber, x: number, out: Float64Array): void {
  const zr = k.re * x, zi = k.im * x, size = zr * zr + zi * zi;
  if (size < 1e-8) {
    out[0] = 1 - (zr * zr - zi * zi) / 6;
    out[1] = (-zr * zi) / 3;
    return;
  }
  sinCos(zr, zi, scratch);
  const sr = scratch[0]!, si = scratch[1]!;
  out[0] = (sr * zr + si * zi) / size;
  out[1] = (si * zr - sr * zi) / size;
}

const one = new Float64Array(2), other = new Float64Array(2);

/** Multiplies out by sin(kx)/(kx). */
function timesFactor(k: WaveNumber, x: number, out: Float64Array): void {
  sphereFactor(k, x, one);
  const r = out[0]!, i = out[1]!;
  out[0] = r * one[0]! - i * one[1]!;
  out[1] = r * one[1]! + i * one[0]!;
}

/** Sets out to size times e^{-jkd}. */
function wave(k: WaveNumber, d: number, size: number, out: Float64Array): void {
  const decayed = size * Math.exp(k.im * d);
  out[0] = decayed * Math.cos(k.re * d);
  out[1] = -decayed * Math.sin(k.re * d);
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
export function sphereMean(k: WaveNumber, a: number, b: number, distance: number, out: Float64Array): void {
  const d = distance, large = Math.max(a, b), small = Math.min(a, b);
  if (d >= a + b) {
    wave(k, d, 1 / (4 * Math.PI * d), out);
    timesFactor(k, a, out);
    timesFactor(k, b, out);
    return;
  }
  if (d + small <= large) {
    wave(k, large, 1 / (4 * Math.PI * large), out);
    timesFactor(k, d, out);
    timesFactor(k, small, out);
    return;
  }
  // the smaller sphere crosses the larger one: rings of it at r from the centre of the larger one, inside up to `large`, outside up to `far`
  const near = Math.abs(d - small), far = d + small, scale = 1 / (8 * Math.PI * d * small);
  wave(k, large, (scale * (large + near) * (large - near)) / (2 * large), out);
  timesFactor(k, (large + near) / 2, out);
  timesFactor(k, (large - near) / 2, out);
  wave(k, (far + large) / 2, scale * (far - large), other);
  timesFactor(k, large, other);
  timesFactor(k, (far - large) / 2, other);
  out[0]! += other[0]!;
  out[1]! += other[1]!;
}
