import { readFileSync } from "node:fs";
import Ajv, { type ErrorObject } from "ajv";
import { describe, expect, it } from "vitest";
import { designFromJson } from "../../kernel-helpers/words/design-json.js";
import { InputError } from "../../src/errors.js";
import { completeDesigns, demoDesigns, type Json, type Place, placesIn, placeText, valueAt, withValue } from "../support/sample-designs.js";

const schema = JSON.parse(readFileSync(new URL("../../kernel-helpers/design.schema.json", import.meta.url), "utf8")) as { [key: string]: Json };
const validate = new Ajv({ allErrors: true }).compile(schema);
const isValid = new Ajv().compile(schema);

/** What the reader throws, or undefined; anything but an InputError fails the test. */
function readerError(value: unknown): InputError | undefined {
  try {
    designFromJson(value);
    return undefined;
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

function schemaErrors(value: unknown): readonly ErrorObject[] {
  return validate(value) ? [] : (validate.errors ?? []);
}

const samples = { ...demoDesigns(), ...completeDesigns() };

describe("the schema of design files", () => {
  it("describes every field and refuses other keys at every level", () => {
    const open: string[] = [], silent: string[] = [];
    for (const place of placesIn(schema)) {
      const part = valueAt(schema, place);
      if (typeof part !== "object" || part === null || Array.isArray(part)) continue;
      if (part["type"] === "object" && part["additionalProperties"] !== false) open.push(placeText(place));
      // a sub-schema under "properties" of a described object; those under "if" only choose
      const isField = place.at(-2) === "properties" && !place.includes("if");
      if (isField && !(typeof part["description"] === "string" && part["description"].length > 5)) silent.push(placeText(place));
    }
    expect({ open, silent }).toEqual({ open: [], silent: [] });
    expect(schema["$id"]).toBe("airpath-design");
  });

  it.each(Object.keys(samples))("takes %s, as the reader does", (name) => {
    expect(schemaErrors(samples[name])).toEqual([]);
    expect(readerError(samples[name])).toBeUndefined();
  });

  it.each(Object.keys(samples))("refuses an unknown key at every level of %s by name and place, as the reader does", (name) => {
    const sample = samples[name]!;
    const objects = placesIn(sample).filter((place) => typeof valueAt(sample, place) === "object" && valueAt(sample, place) !== null && !Array.isArray(valueAt(sample, place)));
    for (const place of objects) {
      for (const key of ["zzzzzzzz", "__proto__"]) {
        const bad = withValue(sample, [...place, key], 1);
        const error = readerError(bad);
        expect(error?.came, placeText(place)).toContain(`"${key}"`);
        expect(error?.where).toBe(place.length === 0 ? "design file" : `design file: ${placeText(place)}`);
        const found = schemaErrors(bad).some((e) => e.keyword === "additionalProperties" && e.params["additionalProperty"] === key && e.instancePath === place.map((p) => `/${p}`).join(""));
        expect(found, `${placeText(place)} ${key}`).toBe(true);
      }
    }
    expect(objects.length).toBeGreaterThan(2);
  });

  it("takes a fill of the whole line without a list, as the reader does", () => {
    const line = Object.values(demoDesigns()).find((one) => JSON.stringify(one).includes('"transmission line"'))!;
    const whole = withValue(line, ["enclosure", "fill"], { flowResistivity: 3000 });
    expect(schemaErrors(whole)).toEqual([]);
    expect(designFromJson(whole).design.filled).toHaveLength(1);
    const bad = withValue(line, ["enclosure", "fill"], { flowResistivty: 3000 });
    expect(schemaErrors(bad)).not.toEqual([]);
    expect(readerError(bad)?.where).toBe("design file: enclosure.fill");
  });

  it("is never stricter than the reader, and laxer only where rules reach across fields", () => {
    const bad: Json[] = [null, true, false, "", " ", "abc", "NaN", "Infinity", "12", "12 zz", "-3 m", "0 m", "1,234 m", "1 m 2", "$(1) m", -1, 0, 1e308, 5e-324, 3, [], {}, [1], ["conical"], { toString: 1 }, "x".repeat(300)];
    const laxer = new Map<string, number>();
    let agreed = 0;
    const seen = new Set<string>();
    for (const [name, sample] of Object.entries(samples)) {
      for (const place of placesIn(sample)) {
        // what stands beside enclosure and space is the same in many samples: once is enough
        const same = `${placeText(place)} ${JSON.stringify(valueAt(sample, place))}`;
        if (place.length > 0 && place[0] !== "enclosure" && place[0] !== "space" && seen.has(same)) continue;
        seen.add(same);
        for (const value of bad) {
          const changed = withValue(sample, place, value);
          const refusedBySchema = !isValid(changed), error = readerError(changed);
          if (refusedBySchema === (error !== undefined)) agreed++;
          else if (refusedBySchema) expect.fail(`${name}: ${placeText(place)} = ${JSON.stringify(value)} is refused by the schema alone`);
          else laxer.set(laxReason(place, value, error!), (laxer.get(laxReason(place, value, error!)) ?? 0) + 1);
        }
      }
    }
    console.log(`${agreed} verdicts agree; the reader alone refuses: ${[...laxer].map(([why, count]) => `${why} (${count})`).join(", ")}`);
    expect([...laxer.keys()].filter((why) => why.startsWith("unexplained"))).toEqual([]);
    expect(agreed).toBeGreaterThan(5000);
  });

  const good = samples["closed-box.json"]!, horn = samples["tapped-horn.json"]!, vented = samples["vented-box.json"]!, own = samples["own-network.json"]!;
  const table: readonly [what: string, value: unknown, where: string][] = [
    ["no object", [good], "design file"],
    ["nothing in it", {}, "design file"],
    ["version 2", { ...good, version: 2 }, "design file"],
    ["a version in a text", { ...good, version: "1" }, "design file"],
    ["another format", { ...good, format: "design" }, "design file"],
    ["no driver", withValue(good, ["driver"], undefined), "design file: driver"],
    ["a driver that is a list", { ...good, driver: [] }, "design file: driver"],
    ["no enclosure", withValue(good, ["enclosure"], undefined), "design file: enclosure"],
    ["an unknown kind", withValue(good, ["enclosure", "kind"], "box of no kind"), "design file: enclosure.kind"],
    ["an inherited kind", withValue(good, ["enclosure", "kind"], "constructor"), "design file: enclosure.kind"],
    ["no volume", withValue(good, ["enclosure", "volume"], undefined), "design file: enclosure.volume"],
    ["a driver inside the enclosure", withValue(good, ["enclosure", "driver"], good["driver"]!), "design file: enclosure"],
    ["a name inside the enclosure", withValue(good, ["enclosure", "name"], "x"), "design file: enclosure"],
    ["a number that is none", withValue(good, ["enclosure", "volume"], "NaN L"), "design file: enclosure.volume"],
    ["an infinite number", withValue(good, ["enclosure", "volume"], JSON.parse("1e999") as number), "design file: enclosure.volume"],
    ["a text without unit", withValue(good, ["driver", "Sd"], "88"), "design file: driver.Sd"],
    ["a negative length", withValue(horn, ["frontTap"], -1), "design file"],
    ["stations that are missing", withValue(horn, ["enclosure", "path", "stations"], undefined), "design file: enclosure.path"],
    ["stations and pieces", withValue(horn, ["enclosure", "path", "pieces"], [{ length: 1, from: 0.01 }]), "design file: enclosure.path"],
    ["one station", withValue(horn, ["enclosure", "path", "stations"], [{ at: 0, area: 1 }]), "design file: enclosure.path.stations"],
    ["a station without area", withValue(horn, ["enclosure", "path", "stations", 1, "area"], undefined), "design file: enclosure.path.stations[1].area"],
    ["depth and shape", withValue(horn, ["enclosure", "path", "crossSection"], "round"), "design file: enclosure.path.crossSection"],
    ["a shape as an object, as the notebook holds it", withValue(horn, ["enclosure", "path"], { stations: [], crossSection: {}, wallLoss: true }), "design file: enclosure.path.crossSection"],
    ["a port with length and tuning", withValue(vented, ["enclosure", "port", "length"], 0.1), "design file: enclosure.port"],
    ["a port with diameter and area", withValue(vented, ["enclosure", "port", "area"], 0.01), "design file: enclosure.port"],
    ["seventeen ports", withValue(vented, ["enclosure", "port", "count"], 17), "design file: enclosure.port.count"],
    ["a port with a mass and a length", withValue(vented, ["enclosure", "port"], { mass: 50, length: 0.1 }), "design file: enclosure.port.length"],
    ["a port without any size", withValue(vented, ["enclosure", "port"], { tuning: 40 }), "design file: enclosure.port"],
    ["a rounded slot", withValue(vented, ["enclosure", "port"], { slot: { width: 0.2, height: 0.03 }, length: 0.1, rounding: 0.01 }), "design file: enclosure.port.rounding"],
    ["drivers without count", withValue(good, ["enclosure", "drivers"], { wiring: "series" }), "design file: enclosure.drivers.count"],
    ["a load of no opening", withValue(good, ["enclosure", "loads"], { conee: "release" }), "design file: enclosure.loads"],
    ["a fill without resistivity", withValue(good, ["enclosure", "fill"], { law: "Miki" }), "design file: enclosure.fill.flowResistivity"],
    ["a frame of an empirical fill", withValue(good, ["enclosure", "fill"], { flowResistivity: 4000, law: "Miki", porosity: 0.98 }), "design file: enclosure.fill.porosity"],
    ["a slot without height", withValue(good, ["enclosure", "leak"], { slot: { width: 0.3, depth: 0.018 } }), "design file: enclosure.leak.slot.height"],
    ["a leak without slot", withValue(good, ["enclosure", "leak"], {}), "design file: enclosure.leak.slot"],
    ["a leak that is a list", withValue(good, ["enclosure", "leak"], [1]), "design file: enclosure.leak"],
    ["a leak of an element with both", withValue(own, ["enclosure", "elements", 0], { kind: "leak", node: "box", resistance: 1e5, slot: { width: 0.3, height: 0.001, depth: 0.018 } }), "design file: enclosure.elements[0].resistance"],
    ["a mouth of a closed line", { ...good, enclosure: { kind: "transmission line", path: { stations: [{ at: 0, area: 0.01 }, { at: 1, area: 0.01 }] }, end: "closed", mouthShape: "square" } }, "design file: enclosure.mouthShape"],
    ["a mouth of no form", withValue(horn, ["enclosure", "mouthShape"], "oval"), "design file: enclosure.mouthShape"],
    ["a mouth without sides", withValue(horn, ["enclosure", "mouthShape"], {}), "design file: enclosure.mouthShape"],
    ["a form of a slot", withValue(vented, ["enclosure", "port"], { slot: { width: 0.2, height: 0.03 }, length: 0.1, openingShape: "round" }), "design file: enclosure.port.openingShape"],
    ["a form of a mass without area", withValue(vented, ["enclosure", "port"], { mass: 50, openingShape: "square" }), "design file: enclosure.port.openingShape"],
    ["half a coil model", withValue(good, ["driver", "coil"], { L2: 0.001 }), "design file: driver.coil"],
    ["a baffle without height", { ...good, enclosure: { kind: "open baffle", baffle: { width: 0.5 } } }, "design file: enclosure.baffle"],
    ["a network with drivers and nodes", withValue(own, ["enclosure", "drivers"], [{ name: "a", front: "outside", back: "box" }]), "design file: enclosure.front"],
    ["a wiring of one driver", withValue(own, ["enclosure", "wiring"], "a"), "design file: enclosure.wiring"],
    ["a duct with a path and a length", withValue(own, ["enclosure", "elements", 2, "path"], { stations: [{ at: 0, area: 0.01 }, { at: 1, area: 0.01 }] }), "design file: enclosure.elements[2].length"],
    ["a shape of a cone", withValue(own, ["enclosure", "elements", 2, "shape"], 0.5), "design file: enclosure.elements[2].shape"],
    ["an opening without area in the space", withValue(own, ["enclosure", "elements", 3, "area"], undefined), 'design file: enclosure: opening "port"'],
    ["no elements", withValue(own, ["enclosure", "elements"], []), "design file: enclosure.elements"],
    ["an unknown kind of element", withValue(own, ["enclosure", "elements", 0, "kind"], "pump"), "design file: enclosure.elements[0].kind"],
    ["a kind in a list", withValue(own, ["enclosure", "elements", 0, "kind"], ["volume"]), "design file: enclosure.elements[0].kind"],
    ["two loads", withValue(own, ["enclosure", "elements", 3, "load"], { parallel: { mass: 1, resistance: 1 }, series: { mass: 1, resistance: 1 } }), "design file: enclosure.elements[3].load"],
    ["a load without resistance", withValue(own, ["enclosure", "elements", 3, "load"], { series: { mass: 1 } }), "design file: enclosure.elements[3].load.series.resistance"],
    ["a space in a list", { ...good, space: ["half"] }, "design file: space"],
    ["a space of no name", { ...good, space: "tenth" }, "design file: space"],
    ["a frequency in a text", { ...good, frequencies: ["50"] }, "design file: frequencies[0]"],
    ["a count of one", { ...good, frequencies: "10:500:1" }, "design file: frequencies (count)"],
    ["air without weight", { ...good, air: { density: 0 } }, "design file: air.density"],
  ];
  it.each(table)("refuses %s, as the reader does", (_, value, where) => {
    expect(schemaErrors(value).length).toBeGreaterThan(0);
    expect(readerError(value)?.where).toBe(where);
  });

  const acrossFields: readonly [what: string, value: unknown, where: string][] = [
    ["a volume in metres", withValue(good, ["enclosure", "volume"], "7.9 cm"), "design file: enclosure.volume"],
    ["a driver with too little", { ...good, driver: { Re: 3.5 } }, "design file: driver"],
    ["an area of no enclosure", withValue(own, ["enclosure", "elements", 2, "areaStart"], "1e-6 mm^2"), "design file: enclosure.elements[2].areaStart"],
    ["a large area", withValue(horn, ["enclosure", "path", "stations", 1, "area"], "1 km^2"), "design file: enclosure.path.stations[1].area"],
    ["a length of no enclosure", withValue(own, ["enclosure", "elements", 2, "length"], "1.1 km"), "design file: enclosure.elements[2].length"],
    ["a depth of no enclosure", withValue(horn, ["enclosure", "path", "depth"], "1 um"), "design file: enclosure.path.depth"],
    ["a port of a hundred kilometres", withValue(vented, ["enclosure", "port", "tuning"], "1e-4 Hz"), "design file: enclosure.port.tuning"],
    ["a listener inside the opening", { ...good, distance: 1e-9 }, "design file: distance"],
    ["a listener on the moon", { ...good, distance: "384400 km" }, "design file: distance"],
    ["a drive like lightning", { ...good, drive: "1 TW" }, "design file: drive"],
    ["a load of an opening that this box has not", withValue(good, ["enclosure", "loads"], { mouth: "release" }), "design file: enclosure.loads"],
    ["a single opposed driver", withValue(good, ["enclosure", "drivers"], { count: 1, mounting: "opposed" }), "design file: enclosure.drivers.mounting"],
    ["a port as long as its roundings", withValue(vented, ["enclosure", "port"], { diameter: 0.05, length: 0.01, rounding: 0.02 }), "design file: enclosure.port.length"],
    ["fill beyond the end of the horn", withValue(horn, ["enclosure", "fill"], [{ from: 0.1, to: 99, flowResistivity: 1000 }]), "design file: enclosure.fill[0]"],
    ["a square opening of a round tube", withValue(vented, ["enclosure", "port", "openingShape"], "square"), "design file: enclosure.port.openingShape"],
    ["a gap that is higher than wide", withValue(good, ["enclosure", "leak"], { slot: { width: 0.001, height: 0.3, depth: 0.018 } }), "design file: enclosure.leak.slot.height"],
    ["a mouth whose sides are not its area", withValue(horn, ["enclosure", "mouthShape"], { width: 1, height: 1 }), "design file: enclosure.mouthShape"],
    ["thermal below viscous length", withValue(good, ["enclosure", "fill"], { flowResistivity: 4000, viscousLength: 2e-4, thermalLength: 1e-4 }), "design file: enclosure.fill.thermalLength"],
    ["fill over fill", withValue(horn, ["enclosure", "fill"], [{ to: 0.5, flowResistivity: 1000 }, { from: 0.4, flowResistivity: 1000 }]), "design file: enclosure.fill[1]"],
    ["a driver beside the baffle", { ...good, enclosure: { kind: "open baffle", baffle: { width: 0.5, height: 0.9, fromLeft: 0.6 } } }, "design file: enclosure.baffle.fromLeft"],
    ["a membrane with too little", { ...good, enclosure: { kind: "passive radiator box", volume: 0.01, radiator: { Sd: 0.01, fs: 20, Qms: 5 } } }, "design file: enclosure.radiator"],
    ["an inductance beside a power law", { ...good, driver: { Re: 3.5, Sd: 0.0088, Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Le: 0.001, coil: { K: 0.02, n: 0.6 } } }, "design file: driver.Le"],
    ["a driver that is not wired", { ...good, enclosure: { kind: "own network", drivers: [{ name: "a", front: "outside", back: "box" }, { name: "b", front: "outside", back: "box" }], wiring: "a", elements: [{ kind: "volume", node: "box", volume: 0.01 }, { kind: "opening", name: "cone", node: "outside", area: 0.01 }] } }, "design file: enclosure.wiring"],
    ["a tap beyond the mouth", withValue(horn, ["enclosure", "frontTap"], "9 m"), "design file: enclosure.frontTap"],
    ["stations in descending order", withValue(horn, ["enclosure", "path", "stations", 1, "at"], 9), "design file: enclosure.path.stations[2].at"],
    ["frequencies in descending order", { ...good, frequencies: [50, 40] }, "design file: frequencies"],
    ["a power without nominal impedance", withValue({ ...good, drive: "30 W" }, ["driver", "impedance"], undefined), "design file: drive"],
  ];
  it.each(acrossFields)("leaves %s to the reader", (_, value, where) => {
    expect(schemaErrors(value)).toEqual([]);
    expect(readerError(value)?.where).toBe(where);
  });
});

/** Why the reader refuses what the schema takes. */
function laxReason(place: Place, value: Json, error: InputError): string {
  const key = place.at(-1);
  if (["from", "to", "node", "front", "back"].includes(String(key))) return "nodes that join nothing";
  if (place.includes("driver")) {
    if (/disagrees|not below|(?:more|less) than any driver|follows from|no parameter came/.test(error.message)) return "parameters of no driver";
    if (key === "tolerance") return "a tolerance above a half";
    if (key === "n" && place.includes("coil")) return "an exponent beyond its limits in a text";
  }
  if (/ is (?:a|an) /.test(error.came) || /unit of .* is not known/.test(error.came)) return "another dimension or unit";
  if (/than any enclosure has|than any gas has|than a listener is|than an amplifier gives/.test(error.came)) return "sizes beyond all use";
  if (place[0] === "space" && /beyond the wall|from 0.05 m|no side longer|a quarter to four times|farther than any place|each mode once|not all zero|each opening once|ascending order|as many as frequencies|value from 0|from 1 ms|above zero is expected|outside the profile|cross or touch itself|fold back|round it|rectangle around it|not both zero|the last corner is joined/.test(error.message)) return "places and sizes that do not fit the space";
  if (error.where.includes(".wiring")) return "drivers that are not there";
  if (/sides of .* cm\^2 are expected|wider than high|not the smaller one/.test(error.expected)) return "sides that do not fit each other";
  if (/^no opening is called/.test(error.came)) return "openings that are not there";
  if (key === "version" || key === "count") return `unexplained ${placeText(place)}`;
  if (typeof value === "number" || value === "0 m") {
    if (/path|Tap|driverAt|baffle/.test(placeText(place)) || /stretch within|lie over each other/.test(error.expected)) return "places that do not fit the path";
    if (/[pP]ort/.test(placeText(place)) || /tuning|rounded ends/.test(error.message)) return "a port that cannot be";
  }
  return `unexplained ${placeText(place)} = ${JSON.stringify(value)}: ${error.message}`;
}
