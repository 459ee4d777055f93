import { describe, expect, it } from "vitest";
import { checkKeys, nearestKey } from "../../kernel-helpers/options.js";
import { InputError } from "../../src/errors.js";

const allowed = ["frontTap", "rearTap", "throatArea", "Qts", "Qes", "fs"];
const caught = (value: unknown): InputError => {
  try {
    checkKeys("tappedHorn", value, allowed);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
};

describe("checkKeys", () => {
  it("accepts known keys and no keys", () => {
    checkKeys("tappedHorn", { frontTap: 1, fs: 2 }, allowed);
    checkKeys("tappedHorn", {}, allowed);
  });

  it("names the nearest key", () => {
    const error = caught({ fronTap: 1 });
    expect(error.message).toBe('tappedHorn: no option "fronTap"; did you mean "frontTap"?');
    expect(error.where).toBe("tappedHorn");
    expect(error.name).toBe("InputError");
    expect(caught({ fornttap: 1 }).message).toContain('"frontTap"');
    expect(caught({ qts: 1 }).message).toContain('"Qts"');
    expect(caught({ Fs: 1 }).message).toContain('"fs"');
  });

  it("lists all keys when none is near", () => {
    expect(caught({ colour: 1 }).message).toBe('tappedHorn: no option "colour"; known are Qes, Qts, frontTap, fs, rearTap, throatArea.');
    expect(caught({ ab: 1 }).message).toContain("known are");
    expect(caught({ ["x".repeat(500)]: 1 }).message.length).toBeLessThan(200);
  });

  it("does not take inherited names for known ones", () => {
    expect(caught({ constructor: 1 }).message).toContain('no option "constructor"');
    expect(caught(JSON.parse('{"__proto__": 1}')).message).toContain('no option "__proto__"');
  });

  it("refuses what is no options object", () => {
    expect(caught(null).message).toBe("tappedHorn: null came; options in braces are expected, such as { frontTap: ... }.");
    expect(caught(undefined).message).toContain("nothing came");
    expect(caught([1]).message).toContain("a list came");
    expect(caught(new Float64Array(2)).message).toContain("an array of numbers came");
    expect(caught("fs").message).toContain("a string came");
    expect(caught(3).message).toContain("a number came");
    expect(caught(() => 1).message).toContain("a function came");
  });
});

describe("nearestKey", () => {
  it("counts exchanged neighbours as one edit and takes the first of equals", () => {
    // two plain edits would be too far for a name of three letters
    expect(nearestKey("Vsa", ["Sd", "Vas"])).toBe("Vas");
    expect(nearestKey("Vxy", ["Sd", "Vas"])).toBeUndefined();
    expect(nearestKey("Qxs", ["Qes", "Qts"])).toBe("Qes");
    expect(nearestKey("ab", ["cd"])).toBeUndefined();
  });
});
