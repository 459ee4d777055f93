import type { Air } from "../../air/air.js";
import { InputError } from "../../errors.js";

/** Number of terms of the series of a wide duct with losses, no unit. */
export const layerTerms: number = 6;

/**
 * Thickest viscous boundary layer, as a share of the hydraulic radius, for which the series of a wide duct holds to 1e-10; no unit. Thicker ones take
 * the exact solution.
 */
export const thickestLayer: number = 1 / 40;

/** Everything of a frequency grid that does not depend on a design: made once, used for all designs. n frequencies. */
export interface PathGrid {
  /** number of frequencies n, no unit */
  readonly count: number;
  readonly air: Air;
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** angular frequency, rad/s, n values */
  readonly omega: Float64Array;
  /** s/rad, n values */
  readonly inverseOmega: Float64Array;
  /** wave number without loss, 1/m, n values */
  readonly waveNumber: Float64Array;
  /** m, n values */
  readonly inverseWaveNumber: Float64Array;
  /** thickness of the viscous boundary layer sqrt(2 viscosity / (omega density)), m, n values */
  readonly layer: Float64Array;
  /** terms of k c / omega in powers of (1 - j) layer / radius, no unit; place 0 holds 1 */
  readonly waveSeries: Float64Array;
  /** terms of 1 - F (F the viscous profile) in the same powers, no unit; place 0 holds 1 */
  readonly flowSeries: Float64Array;
}

/**
 * Tables of a frequency grid, in Hz, for the kernel of single paths.
 *
 * Source: viscous and thermal profile Zwikker & Kosten, Sound Absorbing Materials, 1949; Stinson, J. Acoust. Soc. Am. 89 (1991) 550; its series for wide
 * ducts derived here from the Riccati equation of J1/J0 (first terms as in Keefe, J. Acoust. Soc. Am. 75 (1984) 58).
 *
 * @param frequencies  Hz, positive, any order, n values; copied
 * @param air          density, sound speed, viscosity, Prandtl number, heat ratio
 * @throws InputError  when there is no frequency or one is not positive
 */
export function makePathGrid(frequencies: Float64Array, air: Air): PathGrid {
  if (frequencies.length === 0) throw new InputError({ where: "path grid", came: "no frequency", expected: "at least one is expected" });
  for (const f of frequencies) {
    if (!(f > 0 && Number.isFinite(f))) throw new InputError({ where: "path grid", came: `${f} Hz`, expected: "positive frequencies are expected" });
  }
  const omega = frequencies.map((f) => 2 * Math.PI * f);
  const profile = profileSeries();
  const flowSeries = profile.map((p, i) => (i === 0 ? 1 : -p));
  // thermal part: 1 + (gamma - 1) F at a layer thinner by the root of the Prandtl number
  const heatSeries = profile.map((p, i) => (i === 0 ? 1 : (air.heatRatio - 1) * p * air.prandtl ** (-i / 2)));
  return Object.freeze({
    count: frequencies.length,
    air,
    frequencies: frequencies.slice(),
    omega,
    inverseOmega: omega.map((w) => 1 / w),
    waveNumber: omega.map((w) => w / air.soundSpeed),
    inverseWaveNumber: omega.map((w) => air.soundSpeed / w),
    layer: omega.map((w) => Math.sqrt((2 * air.viscosity) / (w * air.density))),
    waveSeries: rootOfRatio(heatSeries, flowSeries),
    flowSeries,
  });
}

/**
 * Terms of F = 2 J1(kappa) / (kappa J0(kappa)) in powers of x = (1 - j) layer / radius, kappa = -2 j / x, place n for x^n.
 * With F = x w the Riccati equation of J1/J0 reads -x^2 w' / 2 = 1 - w^2 - x w / 2.
 */
function profileSeries(): Float64Array {
  const w = new Float64Array(layerTerms);
  w[0] = 1;
  for (let n = 1; n < layerTerms; n++) {
    let sum = ((n - 2) / 2) * w[n - 1]!;
    for (let i = 1; i < n; i++) sum -= w[i]! * w[n - i]!;
    w[n] = sum / 2;
  }
  const out = new Float64Array(layerTerms + 1);
  out.set(w, 1);
  return out;
}

/** Terms of sqrt(a / b) for two power series that begin with 1. */
function rootOfRatio(a: Float64Array, b: Float64Array): Float64Array {
  const ratio = new Float64Array(a.length), root = new Float64Array(a.length);
  for (let n = 0; n < a.length; n++) {
    ratio[n] = a[n]!;
    for (let i = 1; i <= n; i++) ratio[n] = ratio[n]! - b[i]! * ratio[n - i]!;
  }
  root[0] = 1;
  for (let n = 1; n < a.length; n++) {
    let sum = ratio[n]!;
    for (let i = 1; i < n; i++) sum -= root[i]! * root[n - i]!;
    root[n] = sum / 2;
  }
  return root;
}
