import { InputError } from "../errors.js";
import { makeShape } from "../geometry/shape.js";
import { studentQuantile } from "../math/student-quantile.js";
import { type Note, remark, warning } from "../notes.js";
import type { SheetPiece } from "./moved.js";

/** A card that stands inclined under the lens, with a line cut along it. */
export interface InclinedCard {
  /** distance from the nozzle, or whatever the height is measured from, to the card at the start of the line, m */
  readonly from: number;
  /** at its end, m */
  readonly to: number;
  /** of the line along the card, m */
  readonly length: number;
}

/** What was seen on the card; distances along the line from its start. */
export type FocusReading =
  | {
    readonly kind: "thinnest";
    /** where the line is thinnest, m */
    readonly at: number;
  }
  | {
    readonly kind: "equal ends";
    /** two places at which the line is equally wide, or at which it begins and ends to mark the card, m */
    readonly at: readonly [number, number];
  }
  | {
    readonly kind: "widths";
    /** places and widths of the line there, m */
    readonly widths: readonly { readonly at: number; readonly width: number }[];
  };

/** Height of best focus. */
export interface FocusResult {
  /** measured as `from` and `to` of the card, m */
  readonly height: number;
  /** half width of its 95 % interval, m */
  readonly halfWidth: number;
  /** how far the height may be off until the line is 1.41 times as wide as at its thinnest, m; missing where widths do not tell it */
  readonly depth?: number;
  readonly notes: readonly Note[];
}

/**
 * Height of best focus from a line on an inclined card, with its 95 % interval, m: from where it is thinnest, the middle between two ends of equal width, or widths along it.
 *
 * Equal ends are surer: the width hardly changes about the focus but changes fast far from it. Widths are fitted by a square of width
 * that is a parabola of the height. Source: ISO 11146-1:2005, 9 (square of a beam's width along its axis); interval from the fit by the derivative of its vertex.
 *
 * @param options  reading: greatest error of a place along the line, m
 * @throws InputError  when a place lies off the card, the card is level, or the widths have no minimum
 */
export function focusFromCard(card: InclinedCard, seen: FocusReading, { reading }: { readonly reading: number }, where: string = "focusFrom"): FocusResult {
  const { from, to, length } = card;
  for (const [name, value] of [["from", from], ["to", to], ["length", length]] as const) if (!(value > 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.card.${name}`, came: `${value} m`, expected: "a length above zero is expected" });
  if (Math.abs(to - from) < 1e-6) throw new InputError({ where: `${where}.card`, came: "a card that is level", expected: "two different heights are expected" });
  if (Math.abs(to - from) > length) throw new InputError({ where: `${where}.card.length`, came: `${mmOf(length)} for a rise of ${mmOf(Math.abs(to - from))}`, expected: `at least ${mmOf(Math.abs(to - from))} are expected`, hint: "length is measured along the card" });
  if (!(reading > 0) || !Number.isFinite(reading)) throw new InputError({ where: `${where}.reading`, came: `${reading} m`, expected: "a length above zero is expected" });
  const onCard = (at: number, name: string): void => {
    if (!(at >= 0 && at <= length)) throw new InputError({ where: `${where}.${name}`, came: mmOf(at), expected: `a place from 0 to ${mmOf(length)} along the line is expected` });
  };
  const slope = (to - from) / length, single = (1.96 * reading) / Math.sqrt(3), notes: Note[] = [];
  const finish = (at: number, half: number, depth?: number): FocusResult => {
    if (at < 0.1 * length || at > 0.9 * length) notes.push(warning(where, "the focus lies near an end of the card: move the card and cut again"));
    return Object.freeze({ height: from + slope * at, halfWidth: Math.abs(slope) * half, ...(depth === undefined ? {} : { depth: Math.abs(slope) * depth }), notes: Object.freeze(notes) });
  };
  if (seen.kind === "thinnest") {
    onCard(seen.at, "thinnest");
    notes.push(remark(where, "where a line is thinnest is hard to see: two ends of equal width tell it better"));
    return finish(seen.at, single);
  }
  if (seen.kind === "equal ends") {
    seen.at.forEach((at, i) => onCard(at, `equalEnds[${i}]`));
    if (Math.abs(seen.at[1] - seen.at[0]) < 4 * reading) throw new InputError({ where: `${where}.equalEnds`, came: `two places ${mmOf(Math.abs(seen.at[1] - seen.at[0]))} apart`, expected: `at least ${mmOf(4 * reading)} apart are expected` });
    return finish((seen.at[0] + seen.at[1]) / 2, single / Math.SQRT2);
  }
  seen.widths.forEach(({ at, width }, i) => {
    onCard(at, `widths[${i}].at`);
    if (!(width > 0) || !Number.isFinite(width)) throw new InputError({ where: `${where}.widths[${i}].width`, came: `${width} m`, expected: "a width above zero is expected" });
  });
  const { at, half, depth } = vertexOf(seen.widths, where);
  onCard(at, "widths: their thinnest place");
  return finish(at, Math.hypot(half, single / Math.sqrt(seen.widths.length)), depth);
}

/** Place of the vertex of width^2 = a + b u + c u^2 by least squares, half width of its 95 % interval, and how far from it width^2 doubles, m. */
function vertexOf(widths: readonly { readonly at: number; readonly width: number }[], where: string): { readonly at: number; readonly half: number; readonly depth: number } {
  const n = widths.length;
  if (new Set(widths.map(({ at }) => at)).size < 4) throw new InputError({ where: `${where}.widths`, came: `${n} widths`, expected: "widths at four different places at least are expected" });
  // centred and scaled: the sums then are of one size
  const middle = widths.reduce((sum, { at }) => sum + at, 0) / n, reach = Math.max(...widths.map(({ at }) => Math.abs(at - middle))), size = Math.max(...widths.map(({ width }) => width ** 2));
  const u = widths.map(({ at }) => (at - middle) / reach), y = widths.map(({ width }) => width ** 2 / size);
  const power = (k: number): number => u.reduce((sum, value) => sum + value ** k, 0), moment = (k: number): number => u.reduce((sum, value, i) => sum + value ** k * y[i]!, 0);
  const [s0, s1, s2, s3, s4] = [n, power(1), power(2), power(3), power(4)], right = [moment(0), moment(1), moment(2)];
  // inverse of the symmetric 3 x 3 matrix of sums
  const c00 = s2 * s4 - s3 * s3, c01 = s2 * s3 - s1 * s4, c02 = s1 * s3 - s2 * s2, c11 = s0 * s4 - s2 * s2, c12 = s1 * s2 - s0 * s3, c22 = s0 * s2 - s1 * s1, determinant = s0 * c00 + s1 * c01 + s2 * c02;
  const a = (c00 * right[0]! + c01 * right[1]! + c02 * right[2]!) / determinant, b = (c01 * right[0]! + c11 * right[1]! + c12 * right[2]!) / determinant, c = (c02 * right[0]! + c12 * right[1]! + c22 * right[2]!) / determinant;
  if (!(c > 1e-9)) throw new InputError({ where: `${where}.widths`, came: "widths without a minimum", expected: "a line that is thinner in its middle than at its ends is expected", hint: "move the card so that the focus lies on it" });
  const vertex = -b / (2 * c), least = a - (b * b) / (4 * c);
  const variance = n > 3 ? u.reduce((sum, value, i) => sum + (y[i]! - a - b * value - c * value ** 2) ** 2, 0) / (n - 3) / determinant : 0;
  // derivative of the vertex by b and by c
  const db = -1 / (2 * c), dc = b / (2 * c * c), half = studentQuantile(0.975, n - 3) * Math.sqrt(Math.max(0, variance * (db * db * c11 + 2 * db * dc * c12 + dc * dc * c22)));
  return { at: middle + reach * vertex, half: reach * half, depth: reach * Math.sqrt(Math.max(0, least) / c) };
}

/**
 * A block to cut and keep: as high as the best focus, to be set between nozzle and sheet, m.
 *
 * @param height  m
 * @param kerf    width of the cut, so that the block comes out true, m
 */
export function gaugeBlock(height: number, kerf: number, where: string = "focusFrom"): SheetPiece {
  if (!(kerf >= 0) || !Number.isFinite(kerf)) throw new InputError({ where: `${where}.kerf`, came: `${kerf} m`, expected: "zero or more is expected" });
  const side = Math.max(0.02, height), low = -kerf / 2;
  const label = `focus ${mmOf(height)}`;
  return Object.freeze({ number: 1, layer: 1, label, shape: makeShape([[low, low], [side + kerf / 2, low], [side + kerf / 2, height + kerf / 2], [low, height + kerf / 2]]), circles: [], labelPlace: { at: [side / 2, height / 2] as const, height: Math.min(0.003, 0.5 * height, side / (0.8 * label.length)), angle: 0 } });
}

function mmOf(length: number): string {
  return `${Number((1000 * length).toFixed(2))} mm`;
}
