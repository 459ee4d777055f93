import { describe, expect, test } from "vitest";
import { headline, type HeadlineEntry } from "../../kernel-helpers/show/headline.js";
import { InputError } from "../../src/errors.js";

const refusal = (entries: unknown): string => {
  try {
    headline(entries as readonly HeadlineEntry[]);
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  return expect.fail("an error is expected");
};
const good = { name: "level", value: 98.4, unit: "dB" };

describe("headline refuses", () => {
  const cases: readonly [what: string, entries: unknown, text: string][] = [
    ["nothing", undefined, 'headline: nothing; a list is expected, such as [{ name: "largest level", value: 101.2, unit: "dB" }].'],
    ["one entry without its list", good, "headline: an object; a list is expected"],
    ["an empty list", [], "headline: an empty list; a list is expected"],
    ["a text in the list", [good, "98.4 dB"], "headline[1]: a string came; options in braces are expected"],
    ["a hole in the list", [, good], "headline[0]: nothing came; options in braces are expected"],
    ["an unknown key", [{ ...good, digit: 1 }], 'headline[0]: no option "digit"; did you mean "digits"?'],
    ["no name", [{ ...good, name: " " }], 'headline[0].name: " "; a name in quotes is expected.'],
    ["no unit", [{ name: "level", value: 3 }], 'headline, "level", unit: nothing; a unit in quotes is expected, "" for none.'],
    ["half a digit", [{ ...good, digits: 0.5 }], 'headline, "level", digits: 0.5; a whole number from 0 to 20 is expected.'],
    ["too many digits", [{ ...good, digits: 21 }], 'headline, "level", digits: 21; a whole number from 0 to 20 is expected.'],
    ["a value in a text", [{ ...good, value: "98.4" }], 'headline, "level": "98.4"; a finite number is expected.'],
    ["an infinite value", [{ ...good, value: -Infinity }], 'headline, "level": -Infinity; a finite number is expected.'],
    ["a name twice", [good, { ...good, value: 1 }], 'headline: "level" comes twice; each name is expected once.'],
    ["a good list where no cell runs", [good], "show: no notebook cell is running; "],
  ];
  test.each(cases)("%s", (_, entries, text) => expect(refusal(entries).slice(0, text.length)).toBe(text));
});
