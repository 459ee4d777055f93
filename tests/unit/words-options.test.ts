import { describe, expect, it } from "vitest";
import { driver } from "../../kernel-helpers/words/driver.js";
import { fourthOrderBandPass, sixthOrderBandPass } from "../../kernel-helpers/words/band-pass.js";
import { closedBox, passiveRadiatorBox, tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { backHorn, frontHorn, tappedPipe } from "../../kernel-helpers/words/horns.js";
import { openBaffle, transmissionLine } from "../../kernel-helpers/words/lines.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import { path } from "../../kernel-helpers/words/path.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { InputError } from "../../src/errors.js";
import { completeDesigns, type Json, type Place, valueAt, withValue } from "../support/sample-designs.js";

type Words = { [key: string]: unknown };
type Field = readonly [key: string, misspelt: string];

const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" });
const horn = path({ flare: "parabolic", depth: "160 mm", stations: [{ at: 0, area: "70 cm^2" }, { at: "2.4 m", area: "300 cm^2" }] });
const box = closedBox({ driver: woofer, volume: "9 L" });
const complete = completeDesigns();
const element = (i: number): Json => valueAt(complete["own network"]!, ["enclosure", "elements", i]);
const enclosure = (name: string): Words => {
  const { kind: _, ...words } = complete[name]!["enclosure"] as Words;
  return words;
};

/** A word, good options for it, and the place of one options object in them with its fields. */
interface Case {
  readonly run: (options: never) => unknown;
  readonly options: Words;
  readonly place: Place;
  /** how errors call the options object */
  readonly where: string;
  /** one misspelt field, and what is meant */
  readonly spelling: Field;
  /** fields for which a text such as "abc" is right */
  readonly texts: readonly string[];
}

const network = (i: number): Words => ({ driver: woofer, ...enclosure("own network"), elements: (enclosure("own network")["elements"] as Json[]).map((e, k) => (k === i ? element(i) : e)) });
const ofElement = (i: number, spelling: Field, texts: readonly string[] = ["name"]): Case => ({ run: ownNetwork, options: network(i), place: ["elements", i], where: `ownNetwork.elements[${i}]`, spelling, texts });

const cases: Record<string, Case> = {
  driver: { run: driver, options: complete["closed box"]!["driver"] as Words, place: [], where: "driver", spelling: ["Mms", "Mmss"], texts: ["name"] },
  "driver.air": { run: driver, options: complete["closed box"]!["driver"] as Words, place: ["air"], where: "driver.air", spelling: ["density", "densty"], texts: [] },
  closedBox: { run: closedBox, options: { name: "a", driver: woofer, ...enclosure("closed box") }, place: [], where: "closedBox", spelling: ["volume", "volum"], texts: ["name"] },
  ventedBox: { run: ventedBox, options: { name: "a", driver: woofer, ...enclosure("vented box by tuning") }, place: [], where: "ventedBox", spelling: ["wallLoss", "wallloss"], texts: ["name"] },
  "ventedBox.port by tuning": { run: ventedBox, options: { driver: woofer, ...enclosure("vented box by tuning") }, place: ["port"], where: "ventedBox.port", spelling: ["tuning", "tunning"], texts: [] },
  "ventedBox.port by length": { run: ventedBox, options: { driver: woofer, ...enclosure("vented box by length") }, place: ["port"], where: "ventedBox.port", spelling: ["length", "lenght"], texts: [] },
  "ventedBox.air": { run: ventedBox, options: { driver: woofer, ...enclosure("vented box by tuning") }, place: ["air"], where: "ventedBox.air", spelling: ["viscosity", "viscousity"], texts: [] },
  tappedHorn: { run: tappedHorn, options: { name: "a", driver: woofer, ...enclosure("tapped horn with depth") }, place: [], where: "tappedHorn", spelling: ["frontTap", "fronTap"], texts: ["name"] },
  "tappedHorn.path": { run: tappedHorn, options: { driver: woofer, ...enclosure("tapped horn with depth") }, place: ["path"], where: "tappedHorn.path", spelling: ["stations", "station"], texts: [] },
  path: { run: path, options: enclosure("tapped horn without depth")["path"] as Words, place: [], where: "path", spelling: ["crossSection", "crosssection"], texts: [] },
  "path station": { run: path, options: enclosure("tapped horn with depth")["path"] as Words, place: ["stations", 0], where: "path.stations[0]", spelling: ["area", "aera"], texts: [] },
  "path in pieces": { run: path, options: enclosure("tapped horn in pieces")["path"] as Words, place: ["pieces", 1], where: "path.pieces[1]", spelling: ["length", "lenght"], texts: ["what"] },
  ownNetwork: { run: ownNetwork, options: { name: "a", ...network(0) }, place: [], where: "ownNetwork", spelling: ["elements", "element"], texts: ["name"] },
  "ownNetwork volume": ofElement(0, ["volume", "volumne"]),
  "ownNetwork mass": ofElement(1, ["resistance", "resistence"]),
  "ownNetwork resistance": ofElement(2, ["resistance", "resistanse"]),
  "ownNetwork duct with depth": ofElement(3, ["areaStart", "areaStrat"]),
  "ownNetwork duct without depth": ofElement(4, ["wallLoss", "walLoss"]),
  "ownNetwork leak": ofElement(5, ["resistance", "resitance"]),
  "ownNetwork opening with a parallel load": ofElement(6, ["area", "arae"]),
  "ownNetwork parallel load": { ...ofElement(6, ["resistance", "resistanc"]), place: ["elements", 6, "load", "parallel"], where: "ownNetwork.elements[6].load.parallel" },
  "ownNetwork series load": { ...ofElement(7, ["mass", "mas"]), place: ["elements", 7, "load", "series"], where: "ownNetwork.elements[7].load.series" },
  "ownNetwork opening into the space": ofElement(8, ["cone", "coen"]),
  ...Object.fromEntries(
    ([
      ["passive radiator box", passiveRadiatorBox, "passiveRadiatorBox", [[[], "radiator", "radiater"], [["radiator"], "addedMass", "adedMass"]]],
      ["fourth-order band-pass", fourthOrderBandPass, "fourthOrderBandPass", [[[], "front", "frnt"], [["rear"], "absorption", "absorbtion"], [["port"], "tuning", "tunning"], [["drivers"], "mounting", "mountng"]]],
      ["sixth-order band-pass", sixthOrderBandPass, "sixthOrderBandPass", [[[], "rearPort", "rearport"], [["frontPort"], "diameter", "diametre"]]],
      ["transmission line", transmissionLine, "transmissionLine", [[[], "driverAt", "driverat"], [["fill", 0], "flowResistivity", "flowresistivity"], [["chamber"], "volume", "volum"]]],
      ["front-loaded horn", frontHorn, "frontHorn", [[[], "throatChamber", "throatchamber"]]],
      ["back-loaded horn", backHorn, "backHorn", [[[], "chamber", "chambre"]]],
      ["tapped horn with chambers", tappedHorn, "tappedHorn", [[[], "frontChamber", "frontchamber"], [["frontChamber"], "volume", "volum"]]],
      ["tapped pipe", tappedPipe, "tappedPipe", [[[], "backTap", "backtap"]]],
      ["open baffle", openBaffle, "openBaffle", [[[], "baffle", "bafle"], [["baffle"], "fromLeft", "fromleft"], [["frame"], "depth", "dept"]]],
      ["vented box with a slot", ventedBox, "ventedBox", [[["port", "slot"], "onWall", "onwall"]]],
    ] as const).flatMap(([name, run, word, places]) =>
      places.map(([place, key, misspelt]): [string, Case] => {
        const at = place.map((part) => (typeof part === "number" ? `[${part}]` : `.${part}`)).join("");
        return [`${word}${at} of a ${name}`, { run: run as Case["run"], options: { driver: woofer, ...enclosure(name) }, place, where: `${word}${at}`, spelling: [key, misspelt], texts: [] }];
      }),
    ),
  ),
  predict: {
    run: (options) => predict(box, options),
    options: { drive: "30 W", sourceResistance: 0.1, space: "quarter", distance: "2 m", frequencies: "20:200:4", air: { density: 1.19 } },
    place: [],
    where: "predict",
    spelling: ["frequencies", "freqencies"],
    texts: [],
  },
  "predict.air": { run: (options) => predict(box, options), options: { frequencies: [50], air: { density: 1.19, soundSpeed: 340, viscosity: 1.8e-5, prandtl: 0.7, heatRatio: 1.4 } }, place: ["air"], where: "predict.air", spelling: ["soundSpeed", "soundspeed"], texts: [] },
};

/** What a call throws; anything but an InputError fails the test, no error gives undefined. */
function errorOf(run: () => unknown): InputError | undefined {
  try {
    run();
    return undefined;
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

/** True for the place itself and what lies in it. */
function isAt(where: string, place: string): boolean {
  return where.startsWith(place) && /^(?:$|[.[ ])/.test(where.slice(place.length));
}

// Copies plain options only: a driver stays the thing that it is.
function changed(options: Words, place: Place, value: unknown): Words {
  if (place.length === 0) return value as Words;
  const [key, ...rest] = place;
  const inner = rest.length === 0 ? value : changed((options as Words)[key!] as Words, rest, value);
  if (Array.isArray(options)) return options.map((part: unknown, i) => (i === key ? inner : part)) as unknown as Words;
  return { ...options, [key!]: inner };
}

const bad: readonly (readonly [name: string, value: unknown])[] = [
  ["null", null],
  ["an empty text", ""],
  ["abc", "abc"],
  ["a list", []],
  ["an object", {}],
  ["an object without methods", Object.assign(Object.create(null) as object, { toString: 1 })],
  ["NaN", NaN],
  ["-1", -1],
  ["true", true],
  ["a function", () => 1],
  ["a symbol", Symbol("x")],
  ["a large whole number", 10n],
  ["a list with a hole", [, 1]],
];

describe.each(Object.entries(cases))("%s", (_, { run, options, place, where, spelling, texts }) => {
  const target = place.reduce<unknown>((v, key) => (v as Words)[key], options) as Words;
  const call = (value: unknown): unknown => run(changed(options, place, value) as never);

  it("takes what is right", () => {
    expect(errorOf(() => run(options as never))).toBeUndefined();
  });

  it("refuses a misspelt key and tells the right one", () => {
    const [key, misspelt] = spelling;
    const error = errorOf(() => call({ ...target, [misspelt]: 1 }));
    expect(error?.message).toBe(`${where}: no option "${misspelt}"; did you mean "${key}"?`);
  });

  it.each(bad)("refuses %s in place of the options", (_name, value) => {
    // all options of these are optional
    if (_name === "an object" && (where === "predict" || where.endsWith(".air"))) return;
    const error = errorOf(() => call(value));
    expect(error?.where.startsWith(where.replace(/\.(parallel|series|load)$/, ""))).toBe(true);
  });

  it.each(bad)("refuses %s in every field, by its name", (_name, value) => {
    const silent: string[] = [];
    for (const key of Object.keys(target)) {
      if (value === "abc" && (texts.includes(key) || ["node", "from", "to", "front", "back"].includes(key))) continue;
      if (value === true && ["wallLoss", "cone", "onWall"].includes(key)) continue;
      if (_name === "an object" && key === "air") continue;
      // the names of drivers are any text, and may be empty
      if (where === "driver" && key === "name" && value === "") continue;
      const error = errorOf(() => call({ ...target, [key]: value }));
      const told = error !== undefined && (isAt(error.where, `${where}.${key}`) || (error.where === "driver" && key === "tolerance"));
      if (!told) silent.push(`${key}: ${error?.message ?? "nothing was thrown"}`);
    }
    expect(silent).toEqual([]);
    expect(Object.keys(target).length).toBeGreaterThan(0);
  });
});

describe("predict", () => {
  it("refuses what is no design", () => {
    for (const [, value] of [...bad, ["a driver", woofer], ["a design with nothing in it", { network: {} }], ["a path", horn], ["no network", { ...box, network: null }]] as const) {
      const error = errorOf(() => predict(value as never, { frequencies: [50] }));
      expect(error?.where).toBe("predict");
      expect(error?.hint).toContain("closedBox");
    }
  });

  it("refuses lists with anything but ascending numbers of Hz", () => {
    for (const [list, where] of [[[], "predict.frequencies"], [["50"], "predict.frequencies[0]"], [[50, null], "predict.frequencies[1]"], [[true], "predict.frequencies[0]"], [[[50]], "predict.frequencies[0]"], [[50, 50], "predict.frequencies"], [[60, 50], "predict.frequencies"], [[0], "predict.frequencies"], [[1e6], "predict.frequencies"], [[NaN], "predict.frequencies[0]"], [new Float64Array(0), "predict.frequencies"], [Float64Array.of(Infinity), "predict.frequencies[0]"]] as const) {
      expect(errorOf(() => predict(box, { frequencies: list as never }))?.where).toBe(where);
    }
    for (const text of ["", ":", "::", "10:500", "10:500:2:3", "10:500:1", "10:500:2.5", "10:500:-5", "10:500:1e3", "10:500:0x10", "10:500:100001", "500:10:5", "10:10:5", "0:10:5", "-1:10:5", "a:b:c", "1-2:10:5", "10 m:500:5", "10:NaN:5", "0.001:1:5", "10:1e6:5"]) {
      expect(errorOf(() => predict(box, { frequencies: text }))?.where, text).toMatch(/^predict\.frequencies( \((from|to|count)\))?$/);
    }
    expect(predict(box, { frequencies: "10 Hz:0.5 kHz:3" }).frequencies).toEqual(predict(box, { frequencies: "10:500:3" }).frequencies);
  });
});

describe("a path that was made", () => {
  it("is the same as its words, and is checked when it was tampered with", () => {
    const words = { flare: "parabolic", depth: "160 mm", stations: [{ at: 0, area: "70 cm^2" }, { at: "2.4 m", area: "300 cm^2" }] } as const;
    const taps = { driver: woofer, frontTap: "9 cm", backTap: "2.2 m" };
    expect(tappedHorn({ ...taps, path: horn }).recipe).toEqual(tappedHorn({ ...taps, path: words }).recipe);
    for (const broken of [{ ...horn, crossSection: {} }, { ...horn, stations: [{}] }, { ...horn, stations: [1, 2] }, { ...horn, crossSection: { kind: "rectangle", depth: NaN } }, { ...horn, wallLoss: 1 }, { crossSection: null }]) {
      expect(errorOf(() => tappedHorn({ ...taps, path: broken as never }))?.where).toMatch(/^tappedHorn\.path/);
    }
  });
});

describe("withValue", () => {
  it("leaves the original as it was", () => {
    const before = JSON.stringify(complete);
    withValue(complete["closed box"]!, ["driver", "Re"], 1);
    expect(JSON.stringify(complete)).toBe(before);
  });
});
