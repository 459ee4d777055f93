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

/** Form of an opening as it is asked for, whose sides need not be known yet: a square, or a rectangle by one side or by both. */
export type OpeningForm =
  | { readonly kind: "round" | "square" | "unflanged" }
  | {
      readonly kind: "rectangle";
      /** m; from the area and the height when missing */
      readonly width?: number;
      /** m; from the area and the width when missing */
      readonly height?: number;
    };

/** How far the product of two sides may lie from the area, no unit: what a drawing rounds. */
const sideTolerance = 0.01;

/**
 * The shape of an opening of a known area (m^2), sides in m. Two sides of a rectangle whose product lies within 1 % of the area keep their ratio and are put right.
 *
 * @param where  the field that errors name, such as "frontHorn.mouthShape"
 * @throws InputError  when a side is not positive, none is given, or both do not make up the area
 */
export function openingShapeOf(form: OpeningForm, area: number, where: string): OpeningShape {
  if (form.kind === "square") return { kind: "rectangle", width: Math.sqrt(area), height: Math.sqrt(area) };
  if (form.kind !== "rectangle") return { kind: form.kind };
  const { width, height } = form;
  for (const [key, side] of [["width", width], ["height", height]] as const) {
    if (side !== undefined && !(side > 0 && Number.isFinite(side))) throw new InputError({ where: `${where}.${key}`, came: `${side} m`, expected: "a positive length is expected" });
  }
  if (width !== undefined && height !== undefined) {
    const off = (width * height) / area;
    if (!(Math.abs(off - 1) <= sideTolerance)) {
      throw new InputError({ where, came: `${width} m by ${height} m, which is ${Number((width * height * 1e4).toPrecision(4))} cm^2`, expected: `sides of ${Number((area * 1e4).toPrecision(4))} cm^2 are expected`, hint: "leave one side out: it follows from the area" });
    }
    const scale = 1 / Math.sqrt(off);
    return { kind: "rectangle", width: width * scale, height: height * scale };
  }
  if (width !== undefined) return { kind: "rectangle", width, height: area / width };
  if (height !== undefined) return { kind: "rectangle", width: area / height, height };
  throw new InputError({ where, came: "no side", expected: "a width or a height is expected" });
}

/** Refuses a rectangle whose sides do not make up the area (m^2). */
export function checkOpeningShape(shape: OpeningShape | undefined, area: number | undefined, where: string): void {
  if (shape?.kind !== "rectangle") return;
  const { width, height } = shape;
  if (!(width > 0 && height > 0 && Math.abs(width * height - (area ?? NaN)) <= 1e-6 * width * height)) {
    throw new InputError({ where, came: `a rectangle of ${width} m by ${height} m with an area of ${area} m^2`, expected: "positive sides whose product is the area are expected" });
  }
}
