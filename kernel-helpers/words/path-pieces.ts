import type { Station } from "../../src/acoustics/path.js";
import { stationsOfStretches, type Stretch, turnStretches } from "../../src/acoustics/path-turns.js";
import type { HalfTurn, TurnDrawing, TurnModel } from "../../src/acoustics/turn.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import type { QuantityInput } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { fillFrom, type FillWords } from "./fill.js";
import { flareChoice, type FlareChoice, type FlareWord } from "./flare.js";
import { withPlaces } from "./moved-error.js";
import { oneOf, optionalName } from "./names.js";
import { areaFrom, lengthFrom } from "./sizes.js";

/** A place along a path where its area is known. */
export interface StationOptions {
  /** distance from the closed end, m or "2.3 m" */
  readonly at: QuantityInput;
  /** cross-section area, m^2 or "85 cm^2" */
  readonly area: QuantityInput;
  /** flare from here to the next station; that of the path when missing */
  readonly flare?: FlareWord;
  /** of a hyperbolic flare: 0 is catenoidal, 1 exponential, no unit */
  readonly shape?: QuantityInput;
  /** porous fill from here to the next station */
  readonly fill?: FillWords;
  /** half of a turn from here to the next station, as a saved path holds it; pieces take a whole turn */
  readonly turn?: TurnOptions & { readonly half: "first" | "second" };
}

/** A half turn of 180 degrees, as a drawing shows it; the path needs its depth. */
export interface TurnOptions {
  /** clear height of the run before the turn, m or "56 mm" */
  readonly before: QuantityInput;
  /** clear height of the run after the turn, m or "64 mm" */
  readonly after: QuantityInput;
  /** from the divider's end to the far wall, m or "55 mm" */
  readonly gap: QuantityInput;
  /** thickness of the divider, m or "12 mm" */
  readonly divider: QuantityInput;
  /** leg of both outer corners cut at 45 degrees, m or "30 mm"; square corners when missing */
  readonly cut?: QuantityInput;
}

/** A stretch of a path, as a drawing gives it: a run with length and areas, or a turn. */
export interface PieceOptions {
  /** along the way of the air, m or "460 mm"; not for a turn */
  readonly length?: QuantityInput;
  /** cross-section area at its start, m^2 or "67 cm^2"; not for a turn */
  readonly from?: QuantityInput;
  /** cross-section area at its end, m^2; that of its start when missing */
  readonly to?: QuantityInput;
  /** flare along it; that of the path when missing */
  readonly flare?: FlareWord;
  /** of a hyperbolic flare: 0 is catenoidal, 1 exponential, no unit */
  readonly shape?: QuantityInput;
  /** porous fill along it */
  readonly fill?: FillWords;
  /** a half turn in place of length and areas; along the path it counts with its effective length */
  readonly turn?: TurnOptions & {
    /** "refined" (default): two-ports that bend with frequency like the field; "effective": uniform ducts of the same mass and volume */
    readonly model?: TurnModel;
  };
  /** what it is, for the reader of the notebook; not used */
  readonly what?: string;
}

/** What a path says for all its pieces. */
export interface PieceContext {
  readonly usual: FlareChoice;
  /** m; undefined where the path has none */
  readonly depth: number | undefined;
  /** what errors call the path */
  readonly field: string;
}

/** Stations from their words. */
export function stationsFrom(value: unknown, { usual, field }: PieceContext): Station[] {
  return listOf<StationOptions>(value, `${field}.stations`, '[{ at: 0, area: "70 cm^2" }, ...]').map((station, i) => {
    const where = `${field}.stations[${i}]`;
    checkKeys(where, station, ["at", "area", "flare", "shape", "fill", "turn"]);
    neededOf(station, ["at", "area"], where, '{ at: "0.5 m", area: "90 cm^2" }');
    return {
      at: lengthFrom(station.at, `${where}.at`),
      area: areaFrom(station.area, `${where}.area`),
      ...flareChoice(station, where, usual),
      ...(station.fill === undefined ? {} : { fill: fillFrom(station.fill, `${where}.fill`) }),
      ...(station.turn === undefined ? {} : { turn: halfFrom(station.turn, `${where}.turn`) }),
    };
  });
}

/** Two stations a piece; where one piece ends with the area that the next starts with, they share one. */
export function stationsOfPieces(value: unknown, context: PieceContext): Station[] {
  const list = listOf<PieceOptions>(value, `${context.field}.pieces`, '[{ length: "46 cm", from: "67 cm^2", to: "90 cm^2" }, ...]');
  return stationsOfStretches(list.flatMap((piece, i) => stretchesOf(piece, `${context.field}.pieces[${i}]`, context)));
}

function stretchesOf(piece: PieceOptions, where: string, context: PieceContext): readonly Stretch[] {
  checkKeys(where, piece, ["length", "from", "to", "flare", "shape", "fill", "turn", "what"]);
  optionalName(piece.what, `${where}.what`);
  if (piece.turn !== undefined) return turnFrom(piece, where, context);
  neededOf(piece, ["length", "from"], where, '{ length: "46 cm", from: "67 cm^2", to: "90 cm^2" }');
  const length = lengthFrom(piece.length!, `${where}.length`);
  const from = areaFrom(piece.from!, `${where}.from`);
  const to = piece.to === undefined ? from : areaFrom(piece.to, `${where}.to`);
  const choice = flareChoice(piece, where, context.usual);
  if (choice.flare === "uniform" && to !== from) {
    throw new InputError({ where: `${where}.to`, came: `${shownValue(piece.to)} in a uniform piece of ${shownValue(piece.from)}`, expected: "the same area at both ends is expected, or another flare" });
  }
  return [{ length, from, to, ...choice, ...(piece.fill === undefined ? {} : { fill: fillFrom(piece.fill, `${where}.fill`) }) }];
}

const turnKeys = ["before", "after", "gap", "divider", "cut"] as const;

function turnFrom(piece: PieceOptions, where: string, { depth }: PieceContext): readonly Stretch[] {
  for (const key of ["length", "from", "to", "flare", "shape"] as const) {
    if (piece[key] !== undefined) throw new InputError({ where: `${where}.${key}`, came: `${shownValue(piece[key])} beside a turn`, expected: "a turn has its sizes from its drawing alone" });
  }
  if (depth === undefined) throw new InputError({ where: `${where}.turn`, came: "a turn in a path without depth", expected: "a depth of the path is expected", hint: 'add depth: "160 mm"' });
  checkKeys(`${where}.turn`, piece.turn, [...turnKeys, "model"]);
  const turn = drawingFrom(piece.turn!, `${where}.turn`);
  const model = piece.turn!.model === undefined ? "refined" : oneOf<TurnModel>(piece.turn!.model, ["refined", "effective"], `${where}.turn.model`);
  const stretches = withPlaces([["turn", `${where}.turn`]], () => turnStretches(turn, { depth, model }));
  if (piece.fill === undefined) return stretches;
  const fill = fillFrom(piece.fill, `${where}.fill`);
  if (stretches.some((s) => s.turn !== undefined)) throw new InputError({ where: `${where}.fill`, came: "a fill in a refined turn", expected: "a turn without fill is expected", hint: 'or take model: "effective"' });
  return stretches.map((s) => ({ ...s, fill }));
}

function drawingFrom(words: TurnOptions, where: string): TurnDrawing {
  neededOf(words, ["before", "after", "gap", "divider"], where, '{ before: "56 mm", after: "64 mm", gap: "55 mm", divider: "12 mm" }');
  const size = (key: (typeof turnKeys)[number]): number => lengthFrom(words[key]!, `${where}.${key}`);
  return { before: size("before"), after: size("after"), gap: size("gap"), divider: size("divider"), ...(words.cut === undefined ? {} : { cut: size("cut") }) };
}

function halfFrom(words: NonNullable<StationOptions["turn"]>, where: string): HalfTurn {
  checkKeys(where, words, [...turnKeys, "half"]);
  return { ...drawingFrom(words, where), half: oneOf(words.half, ["first", "second"], `${where}.half`) };
}

/** A list, or an error with an example. */
export function listOf<T>(value: unknown, field: string, example: string): readonly T[] {
  if (!Array.isArray(value)) throw new InputError({ where: field, came: shownValue(value), expected: `a list is expected, such as ${example}` });
  return Array.from(value as readonly T[]); // a hole in a list becomes an undefined that is refused by its place
}

/** Refuses words of which one is missing. */
export function neededOf<T extends object>(words: T, keys: readonly (keyof T & string)[], where: string, example: string): void {
  for (const key of keys) {
    if (words[key] === undefined) throw new InputError({ where: `${where}.${key}`, came: "nothing", expected: `${keys.slice(0, -1).join(", ")} and ${keys[keys.length - 1]} are expected, such as ${example}` });
  }
}
