import { InputError } from "../../src/errors.js";
import { shownValue } from "../shown-value.js";

/** Longest name of a design, a node or an element, in characters; no unit. */
export const longestName: number = 200;

/** A name as it was given, or an error that tells the field; no unit. A blank text is no name. */
export function nameFrom(value: unknown, field: string): string {
  if (typeof value !== "string" || value.trim() === "") {
    throw new InputError({ where: field, came: shownValue(value), expected: "a name in quotes is expected" });
  }
  if (value.length > longestName && [...value].length > longestName) {
    throw new InputError({ where: field, came: `a name of ${value.length} characters`, expected: `at most ${longestName} characters are expected` });
  }
  return value;
}

/** A name, or undefined when none was given; no unit. */
export function optionalName(value: unknown, field: string): string | undefined {
  return value === undefined ? undefined : nameFrom(value, field);
}

/** One of a few words, or an error that lists them; no unit. */
export function oneOf<T extends string>(value: unknown, allowed: readonly T[], field: string): T {
  if (typeof value === "string" && (allowed as readonly string[]).includes(value)) return value as T;
  throw new InputError({ where: field, came: shownValue(value), expected: `one of ${allowed.map((word) => `"${word}"`).join(", ")} is expected` });
}

/** True or false, or an error that tells the field; no unit. */
export function checkFlag(value: unknown, field: string): void {
  if (typeof value !== "boolean") throw new InputError({ where: field, came: shownValue(value), expected: "true or false is expected" });
}
