import type { OpeningForm } from "../../src/acoustics/opening-shape.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import type { QuantityInput } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { compact } from "./notebook-design.js";
import { positiveLengthFrom } from "./sizes.js";

/**
 * Form of an opening, for what the space does to it: "round", "square", "unflanged" (the free end of a thin round pipe), or a rectangle by its sides in m or
 * "30 cm". Of the sides one is enough, the other follows from the area; both have to make up the area to 1 %.
 */
export type OpeningShapeWords = "round" | "square" | "unflanged" | { readonly width?: QuantityInput; readonly height?: QuantityInput };

/** The form of an opening from its words, SI units; undefined when nothing is given. */
export function optionalShape(value: unknown, field: string): OpeningForm | undefined {
  if (value === undefined) return undefined;
  if (value === "round" || value === "square" || value === "unflanged") return Object.freeze({ kind: value });
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where: field, came: shownValue(value), expected: '"round", "square", "unflanged" or sides are expected, such as { width: "30 cm", height: "20 cm" }' });
  }
  checkKeys(field, value, ["width", "height"]);
  const { width, height } = value as { readonly width?: QuantityInput; readonly height?: QuantityInput };
  if (width === undefined && height === undefined) throw new InputError({ where: field, came: "no side", expected: 'a side is expected, such as { width: "30 cm" }' });
  return Object.freeze(compact({
    kind: "rectangle" as const,
    width: width === undefined ? undefined : positiveLengthFrom(width, `${field}.width`),
    height: height === undefined ? undefined : positiveLengthFrom(height, `${field}.height`),
  }));
}

/** The form of an opening as it stands in a design file. */
export function shapeRecipe(form: OpeningForm | undefined): unknown {
  if (form === undefined || form.kind !== "rectangle") return form?.kind;
  return Object.freeze(compact({ width: form.width, height: form.height }));
}
