import { InputError } from "../../src/errors.js";
import { makeCabin } from "../../src/space/cabin.js";
import type { FlexOptions } from "../../src/space/flex.js";
import { freeSpace } from "../../src/space/free.js";
import { measuredSpace } from "../../src/space/measured.js";
import { rectangularRoom, type RoomLoss } from "../../src/space/room.js";
import type { Corner } from "../../src/space/profile.js";
import type { Point, Space } from "../../src/space/space.js";
import { walledSpace } from "../../src/space/walls.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { leakResistanceFrom } from "./leak.js";
import { transferFrom, transferTable } from "./measured-words.js";
import { withPlaces } from "./moved-error.js";
import { oneOf, optionalName } from "./names.js";
import { compact } from "./notebook-design.js";
import { spaceLine, spaceViews } from "./space-figures.js";
import { cornersFrom, mapTabulated, neededPositive, notNegative, overFrequencyFrom, placesFrom, placesRecipe, pointFrom, tabulatedRecipe } from "./space-values.js";
import type { CabinWords, FlexWords, FreeSpaceWords, MeasuredWords, RoomWords, WallsWords } from "./space-words.js";

/** Plain SI description of a space, as it stands in a design file. */
export type SpaceRecipe = { readonly kind: string } & Readonly<Record<string, unknown>>;

/** A space that shows itself and can be saved. */
export type NotebookSpace = Space &
  Showable & {
    /** the space as it stands in a design file, plain SI numbers */
    readonly recipe: SpaceRecipe;
  };

function notebookSpace(made: Space, recipe: Record<string, unknown>): NotebookSpace {
  const plain = Object.freeze(compact(recipe)) as unknown as SpaceRecipe;
  return makeShowable({ ...made, recipe: plain }, () => spaceViews(made), () => spaceLine(made));
}

/** The fields that each kind of space has in a design file, and the word that makes it. */
export const spaceKinds: Readonly<Record<string, { readonly fields: readonly string[]; readonly make: (words: never, field: string) => NotebookSpace }>> = Object.freeze({
  "free space": { fields: ["name", "places", "listener"], make: ({ name, ...words }: FreeSpaceWords & { readonly name: string }, field: string) => freeFrom(name, words, field) },
  walls: { fields: ["rear", "side", "floor", "places", "listener"], make: wallsFrom },
  room: { fields: ["size", "box", "listener", "places", "absorption", "law", "reverberation", "lossFactor"], make: roomFrom },
  cabin: { fields: ["profile", "length", "width", "height", "volume", "leak", "flex", "damping", "modes", "box", "listener", "places"], make: cabinFrom },
  measured: { fields: ["name", "transfer", "reference", "free"], make: measuredFrom },
});

function freeFrom(name: string, words: FreeSpaceWords | undefined, field: string): NotebookSpace {
  oneOf(name, ["full", "half", "quarter", "eighth"], `${field}.name`);
  if (words !== undefined) checkKeys(field, words, ["places", "listener"]);
  const isPlaced = words?.places !== undefined || words?.listener !== undefined;
  const places = placesFrom(words?.places, `${field}.places`), listener = words?.listener === undefined ? undefined : pointFrom(words.listener, `${field}.listener`);
  const made = withPlaces([["space", field]], () => freeSpace(name, isPlaced ? { places, ...(listener === undefined ? {} : { listener }) } : undefined));
  return notebookSpace(made, { kind: "free space", name, places: placesRecipe(places), listener });
}

function wallsFrom(words: WallsWords, field: string): NotebookSpace {
  checkKeys(field, words, spaceKinds["walls"]!.fields);
  const distance = (key: "rear" | "side" | "floor"): number | undefined => (words[key] === undefined ? undefined : notNegative(words[key], "length", `${field}.${key}`));
  const rear = distance("rear"), side = distance("side"), floor = distance("floor");
  const places = placesFrom(words.places, `${field}.places`), listener = words.listener === undefined ? undefined : pointFrom(words.listener, `${field}.listener`);
  const behind = (at: number | undefined): number | undefined => (at === undefined ? undefined : 0 - at);
  const made = withPlaces([["walls", field]], () => walledSpace(compact({ rear: behind(rear), side: behind(side), floor: behind(floor), places, listener })));
  return notebookSpace(made, { kind: "walls", rear, side, floor, places: placesRecipe(places), listener });
}

function roomFrom(words: RoomWords, field: string): NotebookSpace {
  checkKeys(field, words, spaceKinds["room"]!.fields);
  const size = pointFrom(words.size, `${field}.size`), box = pointFrom(words.box, `${field}.box`), listener = pointFrom(words.listener, `${field}.listener`);
  const places = placesFrom(words.places, `${field}.places`);
  const { loss, recipe } = roomLossFrom(words, field);
  const made = withPlaces([["room.decay", `${field}.reverberation`], ["room", field]], () => rectangularRoom({ size, loss, box, listener, places }));
  return notebookSpace(made, { kind: "room", size, box, listener, places: placesRecipe(places), ...recipe });
}

function roomLossFrom(words: RoomWords, field: string): { loss: RoomLoss; recipe: Record<string, unknown> } {
  const given = (["absorption", "reverberation", "lossFactor"] as const).filter((key) => words[key] !== undefined);
  if (given.length !== 1) throw new InputError({ where: field, came: given.length === 0 ? "no loss" : given.join(" and "), expected: "one of absorption, reverberation and lossFactor is expected" });
  if (words.law !== undefined) {
    oneOf(words.law, ["Sabine", "Eyring"], `${field}.law`);
    if (words.absorption === undefined) throw new InputError({ where: `${field}.law`, came: shownValue(words.law), expected: "absorption is expected with it" });
  }
  if (words.lossFactor !== undefined) {
    const factor = notNegative(words.lossFactor, "none", `${field}.lossFactor`);
    return { loss: { kind: "loss factor", factor }, recipe: { lossFactor: factor } };
  }
  if (words.absorption !== undefined) {
    const coefficient = overFrequencyFrom(words.absorption, "none", `${field}.absorption`);
    return { loss: { kind: "absorption", coefficient, law: words.law ?? "Sabine" }, recipe: { absorption: tabulatedRecipe(coefficient), law: words.law } };
  }
  const time = overFrequencyFrom(words.reverberation, "time", `${field}.reverberation`);
  for (const t of typeof time === "number" ? [time] : time.values) {
    if (!(t >= 1e-3 && t <= 1e3)) throw new InputError({ where: `${field}.reverberation`, came: `${t} s`, expected: "a time from 1 ms to 1000 s is expected" });
  }
  return { loss: { kind: "decay", rate: mapTabulated(time, (t) => (3 * Math.LN10) / t) }, recipe: { reverberation: tabulatedRecipe(time) } };
}

function cabinFrom(words: CabinWords, field: string): NotebookSpace {
  checkKeys(field, words, spaceKinds["cabin"]!.fields);
  const { shape, recipe: measures } = cabinShape(words, field);
  const volume = words.volume === undefined ? undefined : toPositiveSI(words.volume, "volume", `${field}.volume`);
  const leak = words.leak === undefined ? undefined : leakResistanceFrom(words.leak, `${field}.leak`);
  const damping = words.damping === undefined ? undefined : notNegative(words.damping, "none", `${field}.damping`);
  const hasProfile = "profile" in shape;
  const { flex, recipe } = words.flex === undefined ? { flex: undefined, recipe: undefined } : flexFrom(words.flex, { field: `${field}.flex`, hasProfile });
  const modes = words.modes === undefined ? undefined : modesFrom(words.modes, { field: `${field}.modes`, hasProfile });
  const box = pointFrom(words.box, `${field}.box`), listener = pointFrom(words.listener, `${field}.listener`), places = placesFrom(words.places, `${field}.places`);
  const made = withPlaces([["cabin.size", field], ["cabin", field]], () => makeCabin(compact({ ...shape, volume, leak, flex, lossFactor: damping, modes, box, listener, places })));
  const givenModes = modes?.map(({ order, frequency }) => ({ order: hasProfile ? order.slice(0, 2) : order, frequency }));
  return notebookSpace(made, { kind: "cabin", ...measures, volume, leak, flex: recipe, damping, modes: givenModes, box, listener, places: placesRecipe(places) });
}

/** A profile with a width, or three measures of a rectangle. */
function cabinShape(words: CabinWords, field: string): { shape: { profile: readonly Corner[]; width: number } | { size: Point }; recipe: Record<string, unknown> } {
  const side = (key: "length" | "width" | "height", example: string): number => neededPositive(words[key], "length", { field: `${field}.${key}`, example });
  if (words.profile === undefined) {
    const size = [side("length", "2.4 m"), side("width", "1.4 m"), side("height", "1.1 m")] as const;
    return { shape: { size }, recipe: { length: size[0], width: size[1], height: size[2] } };
  }
  for (const key of ["length", "height"] as const) {
    if (words[key] !== undefined) throw new InputError({ where: `${field}.${key}`, came: `${shownValue(words[key])} beside a profile`, expected: "a profile with a width, or length, width and height are expected" });
  }
  const profile = cornersFrom(words.profile, `${field}.profile`), width = side("width", "1.4 m");
  return { shape: { profile, width }, recipe: { profile, width } };
}

const allSides = ["length", "width", "height"] as const;

function flexFrom(words: FlexWords, { field, hasProfile }: { readonly field: string; readonly hasProfile: boolean }): { flex: FlexOptions; recipe: Record<string, unknown> } {
  checkKeys(field, words, ["compliance", "lossFactor", "area", "resistance", "mass", "stiffness", "sides"]);
  if (words.sides !== undefined && !Array.isArray(words.sides)) throw new InputError({ where: `${field}.sides`, came: shownValue(words.sides), expected: 'a list is expected, such as ["length", "height"]' });
  const sides = words.sides === undefined ? allSides : words.sides.map((side, i) => oneOf(side, allSides, `${field}.sides[${i}]`));
  const zeroOr = (value: QuantityInput | undefined, dimension: Parameters<typeof notNegative>[1], key: string): number => (value === undefined ? 0 : notNegative(value, dimension, `${field}.${key}`));
  const drawn = hasProfile && words.area === undefined && words.compliance === undefined && words.resistance !== undefined;
  if ((words.compliance === undefined) === (words.area === undefined) && !drawn) {
    throw new InputError({ where: field, came: words.area === undefined ? "neither compliance nor area" : "both compliance and area", expected: "one of them is expected" });
  }
  const foreign = words.compliance !== undefined ? (["resistance", "mass", "stiffness"] as const) : (["lossFactor"] as const);
  for (const key of foreign) if (words[key] !== undefined) throw new InputError({ where: `${field}.${key}`, came: shownValue(words[key]), expected: `${words.compliance !== undefined ? "area" : "compliance"} is expected with it` });
  const given = words.sides === undefined ? undefined : sides;
  if (words.compliance !== undefined) {
    const flex: FlexOptions = { kind: "compliance", compliance: toPositiveSI(words.compliance, "acoustic compliance", `${field}.compliance`), lossFactor: zeroOr(words.lossFactor, "none", "lossFactor"), sides };
    return { flex, recipe: compact({ compliance: flex.compliance, lossFactor: words.lossFactor === undefined ? undefined : flex.lossFactor, sides: given }) };
  }
  if (words.resistance === undefined) throw new InputError({ where: `${field}.resistance`, came: "nothing", expected: 'a specific resistance is expected, such as "2e4 Pa s/m"' });
  const area = drawn ? undefined : toPositiveSI(words.area!, "area", `${field}.area`);
  const flex: FlexOptions = {
    kind: "impedance",
    ...(area === undefined ? {} : { area }),
    resistance: overFrequencyFrom(words.resistance, "specific impedance", `${field}.resistance`),
    mass: zeroOr(words.mass, "mass per area", "mass"),
    stiffness: zeroOr(words.stiffness, "pressure per length", "stiffness"),
    sides,
  };
  return { flex, recipe: compact({ area, resistance: tabulatedRecipe(flex.resistance), mass: words.mass === undefined ? undefined : flex.mass, stiffness: words.stiffness === undefined ? undefined : flex.stiffness, sides: given }) };
}

function modesFrom(value: unknown, { field, hasProfile }: { readonly field: string; readonly hasProfile: boolean }): { order: readonly [number, number, number]; frequency: number }[] {
  if (!Array.isArray(value) || value.length > 100) throw new InputError({ where: field, came: shownValue(value), expected: "a list of up to 100 modes is expected, each { order: [1, 0, 0], frequency: \"77 Hz\" }" });
  return value.map((mode: unknown, i) => {
    const where = `${field}[${i}]`;
    checkKeys(where, mode, ["order", "frequency"]);
    const { order, frequency } = mode as { readonly order?: unknown; readonly frequency?: QuantityInput };
    if (!Array.isArray(order) || order.length !== (hasProfile ? 2 : 3) || !order.every((x) => typeof x === "number")) {
      throw new InputError({ where: `${where}.order`, came: shownValue(order), expected: hasProfile ? "the number of the mode in the profile and its order across are expected, such as [1, 0]" : "three whole numbers are expected, such as [1, 0, 0]" });
    }
    return { order: [order[0], order[1], hasProfile ? 0 : order[2]] as [number, number, number], frequency: neededPositive(frequency, "frequency", { field: `${where}.frequency`, example: "77 Hz" }) };
  });
}

function measuredFrom(words: MeasuredWords, field: string): NotebookSpace {
  checkKeys(field, words, spaceKinds["measured"]!.fields);
  const name = optionalName(words.name, `${field}.name`);
  const freeName = words.free === undefined ? "half" : oneOf(words.free, ["full", "half", "quarter", "eighth"], `${field}.free`);
  const transfer = transferFrom(words.transfer, words.reference, field);
  const made = withPlaces([["measured", field]], () => measuredSpace(compact({ name, free: freeSpace(freeName), transfer })));
  return notebookSpace(made, { kind: "measured", name: made.name, free: freeName, transfer: transferTable(transfer) });
}

/** A space from the value of a design file; `field` is what errors put first. */
export function spaceFromJson(value: unknown, field: string): NotebookSpace {
  if (typeof value !== "object" || value === null || Array.isArray(value)) throw new InputError({ where: field, came: shownValue(value), expected: "the name of a space or an object is expected" });
  const { kind, ...rest } = value as Readonly<Record<string, unknown>>;
  const found = spaceKinds[oneOf(kind, Object.keys(spaceKinds), `${field}.kind`)]!;
  checkKeys(field, value, ["kind", ...found.fields]);
  if (rest["places"] !== undefined && !Array.isArray(rest["places"])) throw new InputError({ where: `${field}.places`, came: shownValue(rest["places"]), expected: "a list of { opening, at } is expected" });
  return found.make(rest as never, field);
}

/** Spaces to play in: free, before walls, in a room, in a cabin, or as measured. Each loads the openings of a box and carries their sound to the listener. */
export interface SpaceWord {
  /** Free space, "full" (4 pi sr), "half", "quarter" or "eighth"; with places openings act on each other. Lengths in m. */
  readonly free: (name: "full" | "half" | "quarter" | "eighth", options?: FreeSpaceWords) => NotebookSpace;
  /** Free space behind walls at true distances from the box, m. */
  readonly walls: (options: WallsWords) => NotebookSpace;
  /** A rectangular room with absorption, reverberation or a loss factor, m and s. */
  readonly room: (options: RoomWords) => NotebookSpace;
  /** A vehicle cabin by its side profile and width, or as a rectangle, with leak, flexing walls and modes, m. */
  readonly cabin: (options: CabinWords) => NotebookSpace;
  /** A place known by a measured or tabulated transfer relative to free space, dB. */
  readonly measured: (options: MeasuredWords) => NotebookSpace;
}

/**
 * Spaces to play in. `predict(box, { in: ... })` puts a design there. Lengths in m or with a unit.
 *
 * ```ts
 * const room = air.space.room({ size: ["5 m", "4 m", "2.5 m"], box: ["0.4 m", "0.5 m", "0.3 m"], listener: ["3.4 m", "2 m", "1.2 m"], reverberation: "0.5 s" });
 * await air.show(room, air.predict(box, { in: room }));
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export const space: SpaceWord = Object.freeze({
  free: (name: "full" | "half" | "quarter" | "eighth", options?: FreeSpaceWords) => freeFrom(name, options, "space.free"),
  walls: (options: WallsWords) => wallsFrom(options, "space.walls"),
  room: (options: RoomWords) => roomFrom(options, "space.room"),
  cabin: (options: CabinWords) => cabinFrom(options, "space.cabin"),
  measured: (options: MeasuredWords) => measuredFrom(options, "space.measured"),
});
