import { InputError } from "../errors.js";

/** One band of a fraction of an octave. */
export interface OctaveBand {
  /** name by which the trade calls it, Hz */
  readonly nominal: number;
  /** exact middle, Hz */
  readonly middle: number;
  /** lower edge, Hz */
  readonly low: number;
  /** upper edge, Hz; the lower edge of the next band */
  readonly high: number;
}

/** Ratio of an octave with base ten, no unit. Source: IEC 61260-1:2014, 5.2. */
export const octaveRatio: number = 10 ** 0.3;

/** Nominal middles of one decade of third octaves. Source: IEC 61260-1:2014, annex E (ISO 266). */
const preferred = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8] as const;

/**
 * Bands of an octave over a whole number that overlap a range in Hz, ascending: exact middles and edges, nominal names.
 *
 * @param parts  bands an octave: 1, 2, 3, 6, 12 or 24, no unit
 * @param range  Hz, from and to: bands whose middle lies within it
 * @throws InputError  for another count of parts, or a range that is not positive and ascending
 *
 * Source: IEC 61260-1:2014, 5.2 to 5.6 (base ten): middles 1000 G^(x/b) for odd b and 1000 G^((2x+1)/(2b)) for even b, edges G^(1/(2b)) off; nominal values as in its annex E.
 */
export function octaveBands(parts: number, [from, to]: readonly [number, number]): readonly OctaveBand[] {
  if (![1, 2, 3, 6, 12, 24].includes(parts)) throw new InputError({ where: "octaveBands", came: `${parts} bands an octave`, expected: "1, 2, 3, 6, 12 or 24 are expected" });
  if (!(from > 0 && to >= from && to < 1e7 && from > 1e-4)) throw new InputError({ where: "octaveBands", came: `${from} Hz to ${to} Hz`, expected: "a positive range in ascending order is expected" });
  const shift = parts % 2 === 0 ? 0.5 : 0;
  // ten to the power of whole thirds of tenths, so that the middles of decades are exact
  const at = (x: number): number => 10 ** (3 + (3 * x) / (10 * parts));
  const place = (f: number): number => ((Math.log10(f) - 3) * 10 * parts) / 3 - shift;
  const bands: OctaveBand[] = [];
  for (let x = Math.ceil(place(from) - 1e-9); x <= Math.floor(place(to) + 1e-9); x++) {
    const middle = at(x + shift);
    bands.push(Object.freeze({ nominal: nominalOf(middle, x, parts), middle, low: at(x + shift - 0.5), high: at(x + shift + 0.5) }));
  }
  return bands;
}

/** Nominal middle, Hz: the preferred number for octaves and thirds; two to three digits else. */
function nominalOf(middle: number, x: number, parts: number): number {
  if (parts === 1 || parts === 3) {
    const thirds = x * (3 / parts), decade = Math.floor(thirds / 10);
    return Number((preferred[thirds - 10 * decade]! * 10 ** (3 + decade)).toPrecision(3));
  }
  // annex E: three digits where the first one is 1 to 4, two digits otherwise
  const first = Number(middle.toExponential().charAt(0));
  return Number(middle.toPrecision(first <= 4 ? 3 : 2));
}
