import { InputError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";

/** Sheets of one thickness on top of each other. */
export interface SheetStack {
  /** sheets that the air runs through, no unit */
  readonly innerLayers: number;
  /** closing sheets on either side, no unit */
  readonly closingLayers: number;
  /** measured thickness of one sheet, m */
  readonly thickness: number;
  /** width that the layout wants, m */
  readonly wantedWidth: number;
  /** width of the air as built, m: so many sheets of that thickness */
  readonly innerWidth: number;
  /** from outside to outside, closing sheets with it, m */
  readonly outerWidth: number;
  /** how much wider the air is than wanted, no unit: 0.02 is 2 % more area everywhere */
  readonly widthError: number;
  readonly notes: readonly Note[];
}

/**
 * How many sheets make the inner width, and what width they truly make, m.
 *
 * @param wantedWidth  inner width that the layout wants, m
 * @param thickness    of a sheet as measured, m
 * @param where        what errors and notes name
 * @throws InputError  when a sheet is thicker than the width
 */
export function sheetStack(wantedWidth: number, thickness: number, { layers, closingLayers, where }: { readonly layers?: number | undefined; readonly closingLayers: number; readonly where: string }): SheetStack {
  if (thickness > wantedWidth) throw new InputError({ where: `${where}.sheet.thickness`, came: `${mm(thickness)} in a width of ${mm(wantedWidth)}`, expected: `a sheet of at most ${mm(wantedWidth)} is expected` });
  const innerLayers = layers ?? Math.max(1, Math.round(wantedWidth / thickness));
  if (!Number.isInteger(innerLayers) || innerLayers < 1 || innerLayers > 500) throw new InputError({ where: `${where}.layers`, came: `${innerLayers}`, expected: "a whole number from 1 to 500 is expected" });
  const innerWidth = innerLayers * thickness, widthError = innerWidth / wantedWidth - 1;
  const text = `${innerLayers} sheets of ${mm(thickness)} make ${mm(innerWidth)} instead of ${mm(wantedWidth)}: every area is ${Math.abs(100 * widthError).toFixed(1)} % ${widthError >= 0 ? "larger" : "smaller"}`;
  const notes = Math.abs(widthError) < 1e-4 ? [] : Math.abs(widthError) <= 0.02
    ? [remark(where, text)]
    : [warning(where, `${text}; fold again for a depth of ${mm(innerWidth)}, or take sheets of ${mm(wantedWidth / innerLayers)}`)];
  return Object.freeze({ innerLayers, closingLayers, thickness, wantedWidth, innerWidth, outerWidth: innerWidth + 2 * closingLayers * thickness, widthError, notes: Object.freeze(notes) });
}

/** A length in millimetres with at most two decimals, for messages; no unit. */
export function mm(length: number): string {
  return `${Number((1000 * length).toFixed(2))} mm`;
}

/** A length in millimetres rounded up to a hundredth, for advice that must suffice; no unit. */
export function mmUp(length: number): string {
  return `${Math.ceil(1e5 * length - 1e-6) / 100} mm`;
}

/** A length in millimetres rounded down to a hundredth, for advice that must suffice; no unit. */
export function mmDown(length: number): string {
  return `${Math.floor(1e5 * length + 1e-6) / 100} mm`;
}
