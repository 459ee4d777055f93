import { InputError } from "../../src/errors.js";
import { focusFromCard, type FocusReading, type FocusResult, gaugeBlock, type InclinedCard } from "../../src/cut/focus-test.js";
import type { SheetPiece } from "../../src/cut/moved.js";
import { checkKeys } from "../options.js";
import { formatNumber, type QuantityInput, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";

/** A card that stands inclined under the lens. */
export interface CardWords {
  /** distance from the nozzle to the card where the line starts: m, or "2 mm" */
  readonly from: QuantityInput;
  /** at its end: m, or "14 mm" */
  readonly to: QuantityInput;
  /** of the line along the card: m, or "120 mm" */
  readonly length: QuantityInput;
}

/** What was seen on the card: one of the three; distances along the line from its start. */
export interface CardReading {
  /** where the line is thinnest: m, or "55 mm" */
  readonly thinnest?: QuantityInput;
  /** two places of equal width, or where it begins and ends to mark the card: m, or texts */
  readonly equalEnds?: readonly [QuantityInput, QuantityInput];
  /** places and widths of the line: m, or texts such as [["20 mm", "0.42 mm"], ...] */
  readonly widths?: readonly (readonly [at: QuantityInput, width: QuantityInput])[];
}

/** A card, in SI units. */
export interface FocusTest {
  readonly card: InclinedCard;
}

/** Height of best focus, and the block that sets it. */
export interface Focus extends FocusResult {
  /** a block as high as the best focus, to be cut: for `nest(focus.pieces, ...)` */
  readonly pieces: readonly SheetPiece[];
}

/**
 * An inclined card for finding the height of best focus, m: says how to cut it and what to read from it.
 *
 * ```ts
 * const card = air.focusTest({ from: "2 mm", to: "14 mm", length: "120 mm" });
 * ```
 *
 * @throws InputError  when an option is wrong
 */
export function focusTest(card: CardWords): FocusTest & Showable {
  const word = "focusTest", read = cardFrom(card, word), { from, to, length } = read;
  // the middle of the card: an error in its numbers is told here, before anything is cut
  focusFromCard(read, { kind: "thinnest", at: length / 2 }, { reading: 0.0005 }, word);
  const rise = Math.abs(to - from) / length, mm = (value: number): string => `${formatNumber(1000 * value, 4)} mm`;
  return makeShowable({ card: read }, () => [
    { kind: "text", title: "Inclined card for the height of best focus", paragraphs: [`Lay a stiff card on a wedge so that it stands ${mm(from)} below the nozzle at one end of a line of ${mm(length)} and ${mm(to)} at the other: a millimetre along the card is ${formatNumber(rise, 3)} mm of height. Measure both with the machine off.`, "Mark one straight line along it at low power, uphill or downhill, without touching the focus. Read where it begins and ends to mark the card, or widths at several places, or where it is thinnest, all from the start of the line, and give them to focusFrom."] },
  ], () => `${formatNumber(rise, 3)} mm of height for a millimetre along the card`);
}

/**
 * Height of best focus from a line on an inclined card, m, with its 95 % interval, and a gauge block to cut.
 *
 * ```ts
 * const focus = air.focusFrom(card, { equalEnds: ["31 mm", "78 mm"] });
 * ```
 *
 * @param test     from `focusTest`
 * @param seen     one of thinnest, equalEnds and widths
 * @param options  reading: greatest error of a place along the line, m or "0.5 mm" (when missing); kerf: width of the cut, so that the block comes out true, 0 when missing
 * @throws InputError  when a place lies off the card, or the widths have no minimum
 */
export function focusFrom(test: FocusTest, seen: CardReading, options: { readonly reading?: QuantityInput; readonly kerf?: QuantityInput } = {}): Focus & Showable {
  const word = "focusFrom", card = (test as Partial<FocusTest> | null | undefined)?.card;
  if (typeof card !== "object") throw new InputError({ where: word, came: shownValue(test), expected: "the result of focusTest is expected first" });
  checkKeys(word, options, ["reading", "kerf"]);
  const found = focusFromCard(card, readingFrom(seen, word), { reading: toSI(options.reading ?? "0.5 mm", "length", `${word}.reading`) }, word);
  const block = gaugeBlock(found.height, toSI(options.kerf ?? 0, "length", `${word}.kerf`), word), mm = (value: number): string => `${formatNumber(1000 * value, 3)} mm`;
  const line = `best focus at ${mm(found.height)} +- ${mm(found.halfWidth)}`;
  return makeShowable({ ...found, pieces: Object.freeze([block]) }, () => [
    { kind: "text", title: `${line[0]!.toUpperCase()}${line.slice(1)} (95 %)`, paragraphs: [`${found.depth === undefined ? "" : `The line is 1.41 times as wide ${mm(found.depth)} above and below it. `}Cut the block and set the nozzle by it. Many cut thick sheets with the focus below the surface, as deep as a third to a half of the thickness (common practice, no source): take that from the height of the block, and try it.`], notes: found.notes },
  ], () => line);
}

function cardFrom(card: CardWords, word: string): InclinedCard {
  checkKeys(word, card, ["from", "to", "length"]);
  const length = (key: keyof CardWords): number => toSI(card[key], "length", `${word}.${key}`);
  return Object.freeze({ from: length("from"), to: length("to"), length: length("length") });
}

function readingFrom(seen: CardReading, word: string): FocusReading {
  const kinds = ["thinnest", "equalEnds", "widths"] as const;
  checkKeys(word, seen, kinds);
  const given = kinds.filter((kind) => seen[kind] !== undefined);
  if (given.length !== 1) throw new InputError({ where: word, came: given.length === 0 ? "none of thinnest, equalEnds and widths" : given.join(" and "), expected: "one of thinnest, equalEnds and widths is expected" });
  if (seen.thinnest !== undefined) return { kind: "thinnest", at: toSI(seen.thinnest, "length", `${word}.thinnest`) };
  const pairs = (list: unknown, field: string): readonly (readonly [number, number])[] => {
    if (!Array.isArray(list)) throw new InputError({ where: field, came: shownValue(list), expected: 'a list of pairs is expected, such as [["20 mm", "0.42 mm"]]' });
    return list.map((pair: unknown, i) => {
      if (!Array.isArray(pair) || pair.length !== 2) throw new InputError({ where: `${field}[${i}]`, came: shownValue(pair), expected: "two lengths are expected" });
      return [toSI(pair[0] as QuantityInput, "length", `${field}[${i}][0]`), toSI(pair[1] as QuantityInput, "length", `${field}[${i}][1]`)] as const;
    });
  };
  if (seen.equalEnds !== undefined) return { kind: "equal ends", at: pairs([seen.equalEnds], `${word}.equalEnds`)[0]! };
  return { kind: "widths", widths: pairs(seen.widths, `${word}.widths`).map(([at, width]) => ({ at, width })) };
}
