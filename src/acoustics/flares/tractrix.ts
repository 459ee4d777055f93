import { InputError } from "../../errors.js";
import { type ConeOptions, coneStations, type Place } from "./cones.js";

/** A tractrix horn: its wall is drawn by a tangent of constant length, the radius of the full mouth. */
export interface TractrixOptions extends ConeOptions {
  /** area at the throat, m^2 */
  readonly throat: number;
  /** area of the full mouth, where the wall stands square to the axis, m^2; a cut-off f belongs to a mouth radius c / (2 pi f) */
  readonly mouth: number;
  /** from the throat to where the horn is cut off, m; the whole length when missing */
  readonly length?: number;
}

/** Length of a whole tractrix horn from throat to mouth, m; areas in m^2. */
export function tractrixLength(throat: number, mouth: number): number {
  // r = a / cosh u, x = a (u - tanh u) before the mouth
  const u = Math.acosh(Math.sqrt(mouth / throat));
  return Math.sqrt(mouth / Math.PI) * (u - Math.tanh(u));
}

/**
 * Places along a tractrix horn of circular (or equal) area between which it is solved as cones, at m, area m^2; refined until the throat impedance
 * stands still within the tolerance (see `coneStations`). Steps are even in the curve's own parameter, so they grow fine towards the steep mouth.
 *
 * Areas are those of plane sections; towards the mouth waves are no longer plane, and like every one-dimensional horn it is only as good as that.
 *
 * @throws InputError  when the mouth is not larger than the throat, or the length is not inside the horn
 *
 * Source: curve Huygens, elementary (x = a (u - tanh u), r = a / cosh u); its use as a horn P. G. A. H. Voigt, British patent 278098, 1927 (from memory).
 */
export function tractrixStations(options: TractrixOptions): readonly Place[] {
  const { throat, mouth } = options;
  if (!(throat > 0 && mouth > throat && Number.isFinite(mouth))) {
    throw new InputError({ where: "tractrix.mouth", came: `${mouth} m^2 with a throat of ${throat} m^2`, expected: "a mouth larger than the throat is expected" });
  }
  const whole = tractrixLength(throat, mouth), { length = whole } = options;
  if (!(length > 0 && length <= whole * (1 + 1e-12))) {
    throw new InputError({ where: "tractrix.length", came: `${length} m`, expected: `more than zero and at most the whole length, ${Number(whole.toPrecision(4))} m, is expected` });
  }
  const a = Math.sqrt(mouth / Math.PI), start = Math.acosh(Math.sqrt(mouth / throat));
  const end = length >= whole ? 0 : parameterAt((whole - length) / a, start);
  const profile = (steps: number): readonly Place[] =>
    Array.from({ length: steps + 1 }, (_, i) => {
      const u = start + ((end - start) * i) / steps, cosh = Math.cosh(u);
      return { at: i === 0 ? 0 : i === steps ? length : whole - a * (u - Math.tanh(u)), area: i === 0 ? throat : mouth / (cosh * cosh) };
    });
  return coneStations(profile, 8, { ...options, where: "tractrix" });
}

/** u with u - tanh u = x, between 0 and `high`, by halving. */
function parameterAt(x: number, high: number): number {
  let low = 0, top = high;
  for (let i = 0; i < 200; i++) {
    const middle = (low + top) / 2;
    if (middle === low || middle === top) break;
    if (middle - Math.tanh(middle) < x) low = middle;
    else top = middle;
  }
  return (low + top) / 2;
}
