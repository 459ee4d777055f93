import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { predictionCsv } from "../../kernel-helpers/share/prediction-csv.js";
import { designFromBytes, predictDesignFile } from "../../kernel-helpers/words/design-file.js";
import { designFromJson } from "../../kernel-helpers/words/design-json.js";
import { AirpathError, FileError, InputError, SolveError } from "../../src/errors.js";
import { completeDesigns, demoDesigns, type Json, placesIn, valueAt, withValue } from "../support/sample-designs.js";

const samples = Object.values({ ...demoDesigns(), ...completeDesigns() });
const seed = 20240613;

const hostile = fc.oneof(
  fc.jsonValue({ maxDepth: 3 }) as fc.Arbitrary<Json>,
  fc.constantFrom<Json>("toString", "__proto__", "NaN m", "1e999 m", "-0 m", "1e308 m^2", "5e-324 L", "0.1 mm", "1 km", "99999 Hz", { toString: 1, valueOf: 1 }, { length: 3 }, [[]], -0, 1e300, 1e-300, 1e-9, 7),
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.tuple(fc.double({ min: 0, max: 1e4, noNaN: true }), fc.constantFrom("m", "m^2", "L", "Hz", "kg/m^4", "Pa s/m^3", "ohm", "W", "V", "T m", "g")).map(([number, unit]) => `${number} ${unit}`),
);

/** What stands at a place with its number multiplied, the unit kept; other things stay as they are. */
function scaled(value: Json, factor: number): Json {
  if (typeof value === "number") return value * factor;
  if (typeof value !== "string") return value;
  return value.replace(/^[\d.]+/, (digits) => String(Number((Number(digits) * factor).toPrecision(6))));
}

function isQuantity(value: Json): boolean {
  return typeof value === "number" || (typeof value === "string" && /^[\d.]/.test(value));
}

/** A design with one to three places changed, taken away, multiplied or filled with a key that is not known. */
const change = fc.record({ where: fc.nat(), how: fc.constantFrom("remove", "key", "put", "put", "scale", "scale", "scale", "scale"), put: hostile, key: fc.string({ maxLength: 8 }), power: fc.double({ min: -12, max: 12, noNaN: true }) });
const mutated = fc.tuple(fc.constantFrom(...samples), fc.array(change, { minLength: 1, maxLength: 3 })).map(([sample, changes]) => {
  let value: Json = sample;
  for (const { where, how, put, key, power } of changes) {
    const places = placesIn(value).filter((p) => how !== "scale" || isQuantity(valueAt(value, p)));
    const place = places[where % Math.max(1, places.length)];
    if (place === undefined) continue;
    if (how === "remove" && place.length > 0) value = withValue(value, place, undefined);
    else if (how === "key") value = withValue(value, [...place.slice(0, -1), typeof place.at(-1) === "number" ? 0 : key], put);
    else if (how === "scale") value = withValue(value, place, scaled(valueAt(value, place), 10 ** (power * Math.abs(power) / 12)));
    else value = withValue(value, place, put);
    if (typeof value !== "object" || value === null) break;
  }
  return value;
});

/** Places of numbers that are not numbers, or of infinite ones, in what was read. */
function notNumbers(value: unknown, place = ""): string[] {
  if (typeof value === "number") return Number.isFinite(value) || /hydraulicRadius(Start|End)$/.test(place) ? [] : [`${place} = ${value}`];
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, part]) => notNumbers(part, `${place}.${key}`));
}

/** Result of a call; anything but an error of ours fails the property. */
function tryTo<T>(kinds: readonly (abstract new (...args: never[]) => AirpathError)[], make: () => T): T | undefined {
  try {
    return make();
  } catch (error) {
    if (kinds.some((kind) => error instanceof kind)) {
      expect((error as Error).message).not.toMatch(/undefined|\[object/);
      return undefined;
    }
    throw error;
  }
}

describe("design files with arbitrary changes", () => {
  it("are read, or refused by an error of ours; what was read holds numbers only, and so does its prediction", () => {
    let read = 0, solved = 0, refused = 0;
    fc.assert(
      fc.property(mutated, (value) => {
        const file = tryTo([InputError], () => designFromJson(value));
        if (file === undefined) {
          refused++;
          return;
        }
        read++;
        const { driver, network, facts, path, taps } = file.design;
        expect(notNumbers({ driver, network, facts, path, taps })).toEqual([]);
        const prediction = tryTo([InputError, SolveError], () => predictDesignFile(file, { frequencies: "20:200:3" }));
        if (prediction === undefined) return;
        solved++;
        // no pressure at all has the level -Infinity, as levelDb says
        const curves = { level: prediction.level.filter((level) => level !== -Infinity), phase: prediction.phase, delay: prediction.groupDelay, excursion: prediction.excursionPeak, openings: prediction.openings.map((o) => o.airSpeedPeak) };
        expect(notNumbers(curves)).toEqual([]);
        // the rows alone: a name may be "NaN"
        const rows = predictionCsv(prediction, { version: "0" }).split("\n").filter((line) => /^\d/.test(line));
        expect(rows.length).toBe(3);
        expect(rows.join("\n")).not.toMatch(/[^\d.,e+\n-]/);
      }),
      { seed, numRuns: 3000 },
    );
    console.log(`${refused} refused, ${read} read, ${solved} of them solved`);
    expect(refused).toBeGreaterThan(1000);
    expect(solved).toBeGreaterThan(200);
  });

  it("are refused as bytes, too, where they are cut or changed", () => {
    const texts = samples.map((sample) => new TextEncoder().encode(JSON.stringify(sample)));
    fc.assert(
      fc.property(fc.constantFrom(...texts), fc.nat(), fc.uint8Array({ maxLength: 4 }), (bytes, where, put) => {
        const at = where % bytes.length;
        const changed = Uint8Array.from([...bytes.slice(0, at), ...put, ...bytes.slice(at + put.length)]);
        tryTo([InputError, FileError], () => designFromBytes(changed, "x.json"));
        tryTo([InputError, FileError], () => designFromBytes(bytes.slice(0, at), "x.json"));
      }),
      { seed, numRuns: 1000 },
    );
  });

  it("are refused when they are nested a hundred thousand times", () => {
    const deep = `${"[".repeat(100_000)}${"]".repeat(100_000)}`;
    const text = JSON.stringify(demoDesigns()["closed-box.json"]).replace('"9 L"', deep);
    expect(text.length).toBeGreaterThan(200_000);
    expect(() => designFromBytes(new TextEncoder().encode(text), "x.json")).toThrow(AirpathError);
    expect(() => designFromBytes(new TextEncoder().encode(deep), "x.json")).toThrow(AirpathError);
  });
});
