import { inspect } from "node:util";
import { describe, expect, it } from "vitest";
import { makeShowable } from "../../kernel-helpers/show/showable.js";
import type { View } from "../../kernel-helpers/show/view.js";

const oneText: View = { kind: "text", title: "t", paragraphs: ["p"] };

describe("makeShowable", () => {
  it("attaches views and text without listing them", () => {
    const thing = makeShowable({ length: 2 }, () => [oneText], () => "two metres");
    expect(thing.views()).toEqual([oneText]);
    expect(inspect(thing)).toBe("two metres");
    expect(inspect([thing])).toContain("two metres");
    expect(Object.keys(thing)).toEqual(["length"]);
    expect(JSON.stringify(thing)).toBe('{"length":2}');
    expect({ ...thing }).toEqual({ length: 2 });
  });

  it("freezes the thing", () => {
    const thing = makeShowable({ length: 2 }, () => [], () => "");
    expect(Object.isFrozen(thing)).toBe(true);
    expect(() => {
      (thing as { length: number }).length = 3;
    }).toThrow(TypeError);
  });

  it("copies a frozen thing and may be used on its own result", () => {
    const source = Object.freeze({ length: 2 });
    const first = makeShowable(source, () => [], () => "first");
    const second = makeShowable(first, () => [oneText], () => "second");
    expect("views" in source).toBe(false);
    expect(inspect(first)).toBe("first");
    expect(inspect(second)).toBe("second");
    expect(second.views()).toEqual([oneText]);
    expect(second.length).toBe(2);
  });
});
