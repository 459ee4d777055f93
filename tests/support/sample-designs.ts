import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { furtherEnclosures } from "./further-enclosures.js";
import { furtherPaths } from "./further-paths.js";

/** Plain JSON, open to changes. */
export type Json = null | boolean | number | string | Json[] | { [key: string]: Json };

const folder = fileURLToPath(new URL("../../data-demo/designs/", import.meta.url));

/** The demo designs by file name, parsed anew at each call. */
export function demoDesigns(): Record<string, { [key: string]: Json }> {
  return Object.fromEntries(readdirSync(folder).sort().map((file) => [file, JSON.parse(readFileSync(folder + file, "utf8")) as { [key: string]: Json }]));
}

const air = { density: 1.19, soundSpeed: "344 m/s", viscosity: "1.82e-5 Pa s", prandtl: "0.71", heatRatio: 1.4 };
const driver = {
  name: "invented 130 mm",
  Re: "3.5 ohm",
  Le: "0.6 mH",
  Sd: "88 cm^2",
  Mms: "13 g",
  Cms: "0.6 mm/N",
  Rms: "1.1 N s/m",
  Bl: "6,3 T m",
  fs: "57 Hz",
  Qms: "4.23",
  Qes: "0.41",
  Qts: "37.4 %",
  Vas: "6.6 L",
  Xmax: "6 mm",
  power: "60 W",
  impedance: "4 ohm",
  air: { density: 1.2041, soundSpeed: 343.2, viscosity: 1.813e-5, prandtl: 0.709, heatRatio: 1.4 },
  tolerance: "5 %",
};
const top = { $schema: "x", format: "airpath design", version: 1, note: "invented", name: "sample", driver };
const situation = { drive: "30 W", sourceResistance: "0.1 ohm", space: "quarter", distance: "2 m", frequencies: "20 Hz:200:5", air };

/** One design of each kind that uses every field that there is; made anew at each call. */
export function completeDesigns(): Record<string, { [key: string]: Json }> {
  const kinds: Record<string, Json> = {
    "closed box": { kind: "closed box", volume: "9 L", leak: "4e5 Pa s/m^3" },
    "vented box by tuning": { kind: "vented box", volume: "14 L", port: { diameter: "60 mm", tuning: "48 Hz", count: 1, innerEnd: "flush" }, leak: 4e5, wallLoss: false, air },
    "vented box by length": { kind: "vented box", volume: "14 L", port: { area: "28 cm\u00b2", length: "120 mm", count: 2, innerEnd: "free" } },
    "tapped horn with depth": {
      kind: "tapped horn",
      path: { flare: "parabolic", depth: "160 mm", wallLoss: true, stations: [{ at: 0, area: "70 cm^2", flare: "conical" }, { at: "2.4 m", area: "300 cm^2" }] },
      frontTap: "9 cm",
      backTap: "2.2 m",
      leak: "9e5 Pa s/m^3",
    },
    "tapped horn without depth": {
      kind: "tapped horn",
      path: { crossSection: "square", stations: [{ at: 0, area: "70 cm^2" }, { at: "1.2 m", area: "80 cm^2" }, { at: "1.2 m", area: "90 cm^2", flare: "exponential" }, { at: "2.4 m", area: "300 cm^2" }] },
      frontTap: 2.2,
      backTap: 0.09,
    },
    "tapped horn in pieces": {
      kind: "tapped horn",
      path: { flare: "uniform", pieces: [{ length: "1.2 m", from: "70 cm^2", what: "first run" }, { length: "1.2 m", from: "90 cm^2", to: "300 cm^2", flare: "exponential" }] },
      frontTap: 0.09,
      backTap: 2.2,
    },
    "own network": {
      kind: "own network",
      front: "outside",
      back: "chamber",
      elements: [
        { kind: "volume", node: "chamber", volume: "6 L" },
        { kind: "mass", name: "slot", from: "chamber", to: "neck", mass: "20 kg/m^4", resistance: "30 Pa s/m^3" },
        { kind: "resistance", name: "cloth", from: "neck", to: "throat", resistance: "50 Pa s/m^3" },
        { kind: "duct", name: "horn", from: "throat", to: "mouth", length: "1.2 m", areaStart: "40 cm^2", areaEnd: "200 cm^2", flare: "exponential", wallLoss: true, depth: "160 mm" },
        { kind: "duct", name: "line", from: "chamber", to: "end", length: "0.4 m", areaStart: "40 cm^2", flare: "uniform", wallLoss: false, crossSection: "square" },
        { kind: "leak", name: "hole", node: "chamber", resistance: "9e5 Pa s/m^3" },
        { kind: "opening", name: "mouth", node: "mouth", area: "200 cm^2", load: { parallel: { mass: 4, resistance: 20000 } } },
        { kind: "opening", name: "end", node: "end", area: "40 cm^2", load: { series: { mass: "9 kg/m^4", resistance: 0 } } },
        { kind: "opening", name: "cone", node: "outside", area: "88 cm^2", load: "space", cone: true },
      ],
    },
  };
  const { distance: _, ...anywhere } = situation;
  const inSpaces = Object.entries(spaces).map(([name, space]) => [name, { ...top, enclosure: { kind: "closed box", volume: "9 L" }, ...(name.endsWith("listener") ? anywhere : situation), space }] as const);
  const further = Object.entries({ ...furtherEnclosures(), ...furtherPaths() }).map(([name, enclosure]) => [name, { ...brief, ...(name === "round baffle" ? { driver: { ...brief.driver, coil: { L2: "1.2 mH", R2: "8 ohm" } } } : {}), enclosure }] as const);
  return JSON.parse(JSON.stringify({ ...Object.fromEntries(further), ...Object.fromEntries(Object.entries(kinds).map(([name, enclosure]) => [name, { ...top, enclosure, ...situation }])), ...Object.fromEntries(inSpaces) })) as Record<string, { [key: string]: Json }>;
}

const brief = { format: "airpath design", version: 1, driver: { Re: 3.5, Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: 1.1, Bl: 6.3 } };

/** One space of each kind that uses every field; those with a listener of their own end in that word. */
const spaces: Readonly<Record<string, Json>> = {
  "free space with places and listener": { kind: "free space", name: "half", places: [{ opening: "cone", at: [0, "-0.1 m", 0.2] }], listener: ["2 m", 0, "0.5 m"] },
  "free space with places": { kind: "free space", name: "full", places: [{ opening: "cone", at: [0, 0, 0.2] }] },
  "walls with listener": { kind: "walls", rear: "0.4 m", side: 0.8, floor: "30 cm", places: [{ opening: "cone", at: [0, 0, "-0.1 m"] }], listener: ["2 m", "-0.2 m", 0.5] },
  "room by reverberation with listener": { kind: "room", size: ["5 m", 4, "2.5 m"], box: ["0.4 m", 0.5, 0.3], listener: [3.4, "2 m", 1.2], places: [{ opening: "cone", at: [0.4, 0.5, "0.4 m"] }], reverberation: "0.5 s" },
  "room by absorption with listener": { kind: "room", size: [5, 4, 2.5], box: [0.4, 0.5, 0.3], listener: [3.4, 2, 1.2], absorption: [[63, 0.1], ["0.5 kHz", "25 %"]], law: "Eyring" },
  "room by loss factor with listener": { kind: "room", size: [5, 4, 2.5], box: [0.4, 0.5, 0.3], listener: [3.4, 2, 1.2], lossFactor: "5 %" },
  "cabin with an impedance and listener": { kind: "cabin", length: "2.4 m", width: 1.4, height: "1.1 m", volume: "3.1 m^3", leak: "5000 Pa s/m^3", flex: { area: "8 m^2", resistance: [[50, "3e4 Pa s/m"], [200, 1e4]], mass: "6 kg/m^2", stiffness: "2e5 Pa/m", sides: ["length", "height"] }, damping: 0.12, modes: [{ order: [1, 0, 0], frequency: "77 Hz" }], box: [0.2, "0.3 m", 0.3], listener: [1.5, 0.4, "0.9 m"], places: [{ opening: "cone", at: [0.3, 0.3, 0.3] }] },
  "cabin with a compliance and listener": { kind: "cabin", length: 2.4, width: 1.4, height: 1.1, flex: { compliance: "2e-6 m^3/Pa", lossFactor: 0.2, sides: ["width"] }, box: [0.2, 0.3, 0.3], listener: [1.5, 0.4, 0.9] },
  "cabin with a profile and listener": { kind: "cabin", profile: [[0, "0.3 m"], [2.4, "-0.1 m"], ["260 cm", 0.5], [1.2, 1.2]], width: "1.3 m", volume: 2.8, leak: 5000, flex: { area: "7 m^2", resistance: "2e4 Pa s/m", mass: 6, stiffness: 2e5, sides: ["length", "height"] }, damping: "12 %", modes: [{ order: [1, 0], frequency: "77 Hz" }], box: [0.2, "0.3 m", 0.4], listener: [1.5, 0.4, "0.9 m"], places: [{ opening: "cone", at: [0.3, 0.3, 0.5] }] },
  measured: { kind: "measured", name: "headrest", free: "half", transfer: { frequencies: [20, 50, 200], level: [12, 6.5, -3], phaseDegrees: [0, -40, 170] } },
};

/** A place in JSON: keys and indexes. */
export type Place = readonly (string | number)[];

/** All places in a value, the value itself first. */
export function placesIn(value: Json, place: Place = []): Place[] {
  if (typeof value !== "object" || value === null) return [place];
  const entries: [string | number, Json][] = Array.isArray(value) ? value.map((v, i) => [i, v]) : Object.entries(value);
  return [place, ...entries.flatMap(([key, v]) => placesIn(v, [...place, key]))];
}

/** The value at a place. */
export function valueAt(value: Json, place: Place): Json {
  return place.reduce<Json>((v, key) => (v as { [key: string]: Json })[key]!, value);
}

/** A copy with another value at a place; undefined takes the key away. */
export function withValue(value: Json, place: Place, put: Json | undefined): Json {
  if (place.length === 0) return put as Json;
  const copy = structuredClone(value);
  const last = place.at(-1)!;
  const holder = valueAt(copy, place.slice(0, -1)) as { [key: string]: Json };
  if (put === undefined && Array.isArray(holder)) holder.splice(Number(last), 1);
  else if (put === undefined) delete holder[last];
  // defined, not assigned: "__proto__" must become a key of its own
  else Object.defineProperty(holder, last, { value: put, enumerable: true, configurable: true, writable: true });
  return copy;
}

/** "enclosure.elements[2].mass" as error messages write a place. */
export function placeText(place: Place): string {
  return place.map((key, i) => (typeof key === "number" ? `[${key}]` : i === 0 ? key : `.${key}`)).join("");
}
