import { InputError } from "../../src/errors.js";
import { mostChanges } from "../../src/measure/explain.js";
import { placesListener } from "../../src/space/space.js";
import { nearestKey } from "../options.js";
import { type Dimension, formatNumber, formatQuantity } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { type Change, fillChange, leakChange, numberChange, placeOf, recipeChange, withNone } from "./explain-change.js";
import type { BuildState, Explained, Plain } from "./explain-state.js";
import { type FitRange, rangeFrom } from "./fit-range.js";

/** Enclosures whose recipe has a leak or a fill along a path at its top. */
const leaky = ["tapped horn", "tapped pipe", "transmission line"], pathFilled = [...leaky, "front-loaded horn", "back-loaded horn"];

/** The parameters of a driver: dimension, unit, what is changed, and the change by a factor. */
const driverKeys: Readonly<Record<string, { readonly dimension: Dimension; readonly unit: string; readonly how: string; readonly by: (driver: Plain, factor: number, nominal: Readonly<Record<string, number>>) => void }>> = {
  Re: own("resistance", "ohm", "Re"), Le: own("inductance", "H", "Le"), Sd: own("area", "m^2", "Sd"), Bl: own("force factor", "T m", "Bl"),
  Mms: own("mass", "kg", "Mms"), Cms: own("compliance", "m/N", "Cms"), Rms: own("mechanical resistance", "N s/m", "Rms"),
  fs: { dimension: "frequency", unit: "Hz", how: "resonance of the driver, through Cms", by: (d, x) => times(d, "Cms", x ** -2) },
  Vas: { dimension: "volume", unit: "m^3", how: "stiffness of the suspension, through Cms", by: (d, x) => times(d, "Cms", x) },
  Qms: { dimension: "none", unit: "", how: "mechanical loss, through Rms", by: (d, x) => times(d, "Rms", 1 / x) },
  Qes: { dimension: "none", unit: "", how: "electrical loss, through Bl", by: (d, x) => times(d, "Bl", x ** -0.5) },
  Qts: { dimension: "none", unit: "", how: "whole loss, through Bl", by: (d, x, n) => times(d, "Bl", Math.sqrt((1 / (x * n["Qts"]!) - 1 / n["Qms"]!) * n["Qes"]!)) },
};

function own(dimension: Dimension, unit: string, key: string): (typeof driverKeys)[string] {
  return { dimension, unit, how: `${key} of the driver, its other parameters but fs and Q as they are`, by: (d, x) => times(d, key, x) };
}

function times(driver: Plain, key: string, factor: number): void {
  driver[key] = (driver[key] as number) * factor;
}

/** Words that stand for a change beside the parameters of the driver and the numbers of the recipe. */
const words = ["leak", "fill", "box loss", "level", "drive", "source resistance", "distance", "listener", "listener x", "listener y", "listener z", "space damping", "sound speed", "path length"];

/** The changes of `fit`, in its order; a listener becomes three. */
export function changesFrom(fit: unknown, explained: Explained): readonly Change[] {
  if (typeof fit !== "object" || fit === null || Array.isArray(fit)) {
    throw new InputError({ where: "explain.fit", came: shownValue(fit), expected: 'what may have changed is expected, such as { leak: ["1e4 Pa s/m^3", "1e8 Pa s/m^3"], Qms: "+- 30 %" }' });
  }
  const entries = Object.entries(fit as Readonly<Record<string, FitRange>>);
  const changes = entries.flatMap(([name, given]) => (name === "listener" ? ["x", "y", "z"].map((axis) => changeFrom(`listener ${axis}`, given, explained)) : [changeFrom(name, given, explained)]));
  if (changes.length === 0 || changes.length > mostChanges) throw new InputError({ where: "explain.fit", came: changes.length === 0 ? "nothing to fit" : `${changes.length} changes`, expected: `1 to ${mostChanges} changes are expected` });
  const twice = changes.findIndex((c, i) => changes.findIndex((other) => other.name === c.name) < i);
  if (twice >= 0) throw new InputError({ where: `explain.fit.${changes[twice]!.name}`, came: "the same change twice", expected: "each change once is expected" });
  return Object.freeze(changes);
}

function changeFrom(name: string, given: unknown, explained: Explained): Change {
  const field = `explain.fit.${name}`, { prediction, design } = explained, state = explained.state();
  const common = { name, field, given };
  if (Object.hasOwn(driverKeys, name)) return driverChange(name, given, explained);
  switch (name) {
    case "level":
      return numberChange({ ...common, nominal: 0, dimension: "decibel", unit: "dB", how: "added to the predicted level: amplifier, microphone, recorder", set: (s, x) => void (s.level += x), tell: (x) => `${x < 0 ? "-" : "+"}${Math.abs(x).toFixed(2)} dB` });
    case "drive":
      return numberChange({ ...common, nominal: state.drive, dimension: "voltage", unit: "V", how: "voltage at the terminals", set: (s, x) => void (s.drive = x) });
    case "source resistance":
      return numberChange({ ...common, nominal: state.sourceResistance, dimension: "resistance", unit: "ohm", how: "resistance of amplifier and leads", set: (s, x) => void (s.sourceResistance = x), floor: 0 });
    case "distance":
      if (placesListener(prediction.space)) throw new InputError({ where: field, came: "a distance in a space that places the listener", expected: '"listener" is expected there' });
      return numberChange({ ...common, nominal: state.distance, dimension: "length", unit: "m", how: "from the openings to the microphone", set: (s, x) => void (s.distance = x) });
    case "listener x":
    case "listener y":
    case "listener z":
      return listenerChange(name, given, state);
    case "space damping":
      return dampingChange(name, given, state);
    case "sound speed":
      return numberChange({ ...common, nominal: prediction.air.soundSpeed, dimension: "speed", unit: "m/s", how: "speed of sound: the temperature of the air", set: (s, x) => void (s.air["soundSpeed"] = x) });
    case "path length":
      return lengthChange(name, given, state);
  }
  const lossKey = /^(?:(.+)\.)?(leak|fill|box loss|absorption)$/.exec(name);
  const inside = lossKey === null ? undefined : lossChange(name, given, { state, path: lossKey[1], what: lossKey[2] === "absorption" ? "box loss" : lossKey[2]! });
  if (inside !== undefined) return inside;
  const inSpace = /^space\.(.+)$/.exec(name), inDriver = /^driver\.(.+)$/.exec(name);
  const found = inDriver !== null
    ? (Object.hasOwn(driverKeys, inDriver[1]!) ? { ...driverChange(inDriver[1]!, given, explained), name } : undefined)
    : inSpace === null
      ? recipeChange({ ...common, root: state.enclosure, path: name, rootOf: (s) => s.enclosure })
      : state.space === undefined ? undefined : recipeChange({ ...common, root: state.space, path: inSpace[1]!, rootOf: (s) => s.space! });
  if (found !== undefined) return found;
  const numbers = Object.keys(state.enclosure).filter((key) => typeof state.enclosure[key] === "number");
  const near = nearestKey(name, [...words, ...Object.keys(driverKeys), ...numbers]);
  throw new InputError({ where: field, came: `no change of a ${design.kind} is called ${shownValue(name)}`, expected: near !== undefined && near !== name ? `did you mean "${near}"?` : `${[...words, ...Object.keys(driverKeys), ...numbers].join(", ")}, or a number of its recipe such as "port.length", is expected` });
}

function driverChange(name: string, given: unknown, { design, state }: Explained): Change {
  const { dimension, unit, how, by } = driverKeys[name]!, field = `explain.fit.${name}`;
  const values = design.driver as unknown as Readonly<Record<string, number>>, nominal = values[name]!;
  if (name === "Le" && state().driver["Le"] === undefined) throw new InputError({ where: field, came: "a driver without Le", expected: "an inductance to begin with is expected", hint: 'give the driver one, such as Le: "0.5 mH"' });
  const [low, high] = rangeFrom(given, { nominal, dimension, field });
  if (!(low > 0)) throw new InputError({ where: field, came: `a range from ${low}`, expected: "values above zero are expected" });
  if (name === "Qts" && high >= values["Qms"]!) throw new InputError({ where: field, came: `a range up to ${formatNumber(high)}`, expected: `values below Qms, ${formatNumber(values["Qms"]!)}, are expected` });
  const tell = (x: number): string => (unit === "" ? formatNumber(x * nominal, 4) : formatQuantity(x * nominal, unit, 4));
  return withNone({ name, lower: low / nominal, upper: high / nominal, none: 1, floor: 0, apply: (s, x) => by(s.driver, x, values), tell, inUnit: (x) => x * nominal, unit, how }, field);
}

/** A chamber: what has a volume. */
const isChamber = (value: unknown): value is Plain => typeof value === "object" && value !== null && typeof (value as Plain)["volume"] === "number";

/** Leak, fill or loss of the whole enclosure or of one of its chambers; undefined where the name means something else. */
function lossChange(name: string, given: unknown, { state, path, what }: { readonly state: BuildState; readonly path: string | undefined; readonly what: string }): Change | undefined {
  const field = `explain.fit.${name}`, recipe = state.enclosure, kind = String(recipe["kind"]);
  const onPath = path === undefined && ((what === "leak" && leaky.includes(kind)) || (what === "fill" && pathFilled.includes(kind)));
  const chambers = Object.keys(recipe).filter((key) => isChamber(recipe[key]));
  let at = path;
  if (at === undefined && !onPath && !isChamber(recipe)) {
    if (chambers.length !== 1) {
      const instead = chambers.length > 1 ? chambers.map((key) => `"${key}.${what}"`).join(" or ") : "another change, such as \"Rms\" or \"level\",";
      throw new InputError({ where: field, came: `a ${kind}, which has ${chambers.length > 1 ? "several chambers" : `no chamber for a ${what}`}`, expected: `${instead} is expected` });
    }
    at = chambers[0]!;
  }
  const holderOf = (s: BuildState): Plain | undefined => {
    if (at === undefined) return s.enclosure;
    const place = placeOf(s.enclosure, at), value = place?.holder[place.key];
    return typeof value === "object" && value !== null ? (value as Plain) : undefined;
  };
  const holder = holderOf(state);
  if (holder === undefined || (!onPath && !isChamber(holder))) return undefined;
  const where = at === undefined ? (onPath ? "at the closed end" : "of the box") : `of ${at}`;
  const common = { name, field, given };
  if (what === "leak") {
    const nominal = holder["leak"];
    if (typeof nominal === "object" && nominal !== null) throw new InputError({ where: field, came: "a leak that is a slot", expected: `one of its sizes is expected, such as "${at === undefined ? "" : `${at}.`}leak.slot.height"` });
    return leakChange({ ...common, nominal: nominal as number | undefined, where, set: (s, x) => void (holderOf(s)!["leak"] = x) });
  }
  if (what === "box loss") {
    const nominal = (holder["absorption"] as number | undefined) ?? 0;
    return numberChange({ ...common, nominal, dimension: "acoustic resistance", unit: "Pa s/m^3", how: `resistance in series with the air ${where}`, floor: 0, tell: (x) => (x <= 1e-9 ? "none" : `${formatNumber(x)} Pa s/m^3`), set: (s, x) => { if (x > 1e-9) holderOf(s)!["absorption"] = x; } });
  }
  if (!onPath) return fillChange({ ...common, nominal: (holder["fill"] as Plain | undefined)?.["flowResistivity"] as number | undefined, where, set: (s, x) => void (holderOf(s)!["fill"] = { ...(holderOf(s)!["fill"] as Plain | undefined), flowResistivity: x }) });
  const stretches = holder["fill"] as readonly Plain[] | undefined, nominal = stretches?.[0]?.["flowResistivity"] as number | undefined;
  const scale = (s: BuildState, x: number): void => {
    const list = s.enclosure["fill"] as readonly Plain[] | undefined;
    s.enclosure["fill"] = list === undefined ? [{ flowResistivity: x }] : list.map((stretch) => ({ ...stretch, flowResistivity: ((stretch["flowResistivity"] as number) * x) / nominal! }));
  };
  return fillChange({ ...common, nominal, where: stretches === undefined ? "along the whole path" : stretches.length === 1 ? "along the path" : "along the path, its first stretch, all in proportion", set: scale });
}

function listenerChange(name: string, given: unknown, { space }: BuildState): Change {
  const field = `explain.fit.${name}`, axis = ["x", "y", "z"].indexOf(name.slice(-1));
  if (!Array.isArray(space?.["listener"])) throw new InputError({ where: field, came: "a space that does not place its listener", expected: '"distance" is expected there' });
  return numberChange({ name, field, given, nominal: 0, dimension: "length", unit: "m", how: `place of the microphone along ${name.slice(-1)}, from ${formatQuantity((space["listener"] as readonly number[])[axis]!, "m", 4)}`, set: (s, x) => void ((s.space!["listener"] as number[])[axis]! += x), tell: (x) => `${x < 0 ? "-" : "+"}${formatQuantity(Math.abs(x), "m")}` });
}

function dampingChange(name: string, given: unknown, { space }: BuildState): Change {
  const field = `explain.fit.${name}`;
  const key = (["absorption", "reverberation", "lossFactor", "damping"] as const).find((k) => space?.[k] !== undefined);
  if (space === undefined || key === undefined) throw new InputError({ where: field, came: "a space without a damping of its own", expected: "a room, or a cabin with a damping, is expected" });
  const scaled = (value: unknown, x: number): unknown => (Array.isArray(value) ? (value as readonly (readonly [number, number])[]).map(([f, v]) => [f, v * x]) : (value as number) * x);
  return numberChange({ name, field, given, nominal: 1, dimension: "none", unit: "", how: `${key} of the space, by a factor${key === "reverberation" ? " that shortens it" : ""}`, floor: 0, set: (s, x) => void (s.space![key] = scaled(s.space![key], key === "reverberation" ? 1 / x : x)), tell: (x) => `${formatNumber(x)} times` });
}

function lengthChange(name: string, given: unknown, { enclosure }: BuildState): Change {
  const field = `explain.fit.${name}`, path = enclosure["path"] as { readonly stations: readonly Plain[] } | undefined;
  const nominal = path?.stations.at(-1)?.["at"] ?? enclosure["length"];
  if (typeof nominal !== "number") throw new InputError({ where: field, came: `a ${String(enclosure["kind"])}`, expected: "an enclosure with a path is expected" });
  if (path?.stations.some((station) => station["turn"] !== undefined) === true) throw new InputError({ where: field, came: "a path with turns, whose lengths follow from their drawing", expected: 'a single place is expected, such as "path.stations[1].at"' });
  const keys = ["at", "from", "to", "frontTap", "backTap", "driverAt", "length"];
  const stretch = (value: unknown, factor: number): void => {
    for (const [key, part] of Object.entries(value as Plain)) {
      if (typeof part === "number" && keys.includes(key)) (value as Plain)[key] = part * factor;
      else if (typeof part === "object" && part !== null && ["path", "stations", "fill"].some((k) => k === key || Array.isArray(value))) stretch(part, factor);
    }
  };
  return numberChange({ name, field, given, nominal, dimension: "length", unit: "m", how: "length of the path, taps and fill in proportion", set: (s, x) => stretch(s.enclosure, x / nominal) });
}
