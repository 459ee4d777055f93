import { InputError } from "../../src/errors.js";
import { type Dimension, type QuantityInput, toSI } from "../quantity.js";
import { hasSpread, whileDrawing } from "../quantity-spread.js";
import { shownValue } from "../shown-value.js";

/** Where a value may lie: two quantities, "+- 20 %" or "+- 3 dB" about what the design has, or a value with its spread such as "2 L +- 10 %". */
export type FitRange = readonly [QuantityInput, QuantityInput] | string;

/** A spread alone: "+- 20 %". */
const bare = /^\s*(?:\u00b1|\+\s?\/?\s?[-\u2212\u2013])\s*(.+)$/;

/**
 * Two ends of a range in the SI unit of the dimension, the first below the second.
 *
 * @param nominal  what the design has, in the same unit; undefined where it has none
 * @throws InputError  when it is no range, or its ends are the same
 */
export function rangeFrom(value: unknown, { nominal, dimension, field }: { readonly nominal: number | undefined; readonly dimension: Dimension; readonly field: string }): readonly [number, number] {
  const ends = endsOf(value, nominal, dimension, field);
  const [low, high] = ends[0] <= ends[1] ? ends : [ends[1], ends[0]];
  if (low < high) return [low, high];
  throw new InputError({ where: field, came: `${typeof value === "string" ? shownValue(value) : `[${[...(value as readonly unknown[])].map(shownValue).join(", ")}]`}, a range without width`, expected: "two different ends are expected" });
}

function endsOf(value: unknown, nominal: number | undefined, dimension: Dimension, field: string): readonly [number, number] {
  if (Array.isArray(value) && value.length === 2) return [toSI(value[0] as QuantityInput, dimension, `${field} (from)`), toSI(value[1] as QuantityInput, dimension, `${field} (to)`)];
  if (typeof value === "string" && value.length <= 60) {
    const alone = bare.exec(value);
    if (alone !== null) {
      const text = alone[1]!.trim(), isShare = text.endsWith("%");
      if (nominal === undefined || (isShare && (nominal === 0 || dimension === "decibel"))) throw new InputError({ where: field, came: `${shownValue(value.trim())} of a value that ${nominal === undefined ? "the design does not have" : "is zero"}`, expected: "two ends are expected, in brackets" });
      const half = isShare ? Math.abs(nominal) * toSI(text, "none", field) : toSI(text, dimension, field);
      return [nominal - half, nominal + half];
    }
    if (hasSpread(value)) {
      let half = 0;
      const middle = whileDrawing({ draw: (quantity) => ((half = quantity.halfWidth), quantity.value) }, () => toSI(value, dimension, field));
      return [middle - half, middle + half];
    }
  }
  throw new InputError({ where: field, came: Array.isArray(value) ? `a list of ${value.length}` : shownValue(value), expected: 'a range is expected, such as "+- 20 %" or two quantities in brackets' });
}
