import { InputError } from "../errors.js";

/** Form of an opening: a round piston, a rectangular one, or the end of a thin round pipe without flange. */
export type OpeningShape =
  | { readonly kind: "round" }
  | {
      readonly kind: "rectangle";
      /** m; width times height is the area of the opening */
      readonly width: number;
      /** m */
      readonly height: number;
    }
  | { readonly kind: "unflanged" };

/** Refuses a rectangle whose sides do not make up the area (m^2). */
export function checkOpeningShape(shape: OpeningShape | undefined, area: number | undefined, where: string): void {
  if (shape?.kind !== "rectangle") return;
  const { width, height } = shape;
  if (!(width > 0 && height > 0 && Math.abs(width * height - (area ?? NaN)) <= 1e-6 * width * height)) {
    throw new InputError({ where, came: `a rectangle of ${width} m by ${height} m with an area of ${area} m^2`, expected: "positive sides whose product is the area are expected" });
  }
}
