import { InputError } from "../../src/errors.js";
import { nestPieces, type Nested } from "../../src/cut/nest.js";
import type { CutLineOptions } from "../../src/cut/sheet-cuts.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { type PiecesInput, piecesFrom } from "./cut-pieces.js";
import { checkFlag } from "./names.js";
import { sheetFigure, sheetsLine, sheetsTable } from "./nest-figures.js";

/** Where pieces are laid. */
export interface NestWords {
  /** of a sheet, or of the machine's bed where that is smaller, such as ["600 mm", "400 mm"] */
  readonly sheet: readonly [QuantityInput, QuantityInput];
  /** kept free along the edges: m, or "5 mm" (when missing) */
  readonly margin?: QuantityInput;
  /** between the cuts of two pieces: m, or "3 mm" (when missing) */
  readonly gap?: QuantityInput;
  /** direction of the sheet's grain from its first side: rad, or "0 deg"; it has none when missing */
  readonly grain?: QuantityInput;
  /** turns that a piece without grain may take, such as ["0 deg", "90 deg"]; the four right angles when missing */
  readonly turns?: readonly QuantityInput[];
  /** false leaves the holes of large pieces empty; true when missing: small pieces lie in them and are cut first */
  readonly inHoles?: boolean;
  /** way from the waste to the line: m, or "2 mm"; none when missing */
  readonly leadIn?: QuantityInput;
  /** width of the cut: m, or "0.2 mm"; only keeps lead-ins off the pieces; that of cutLayers, or 0, when missing */
  readonly kerf?: QuantityInput;
}

/** Pieces on sheets, and how their lines begin. */
export interface NotebookNest extends Nested {
  readonly lines: CutLineOptions;
}

/**
 * Lays pieces on sheets, m: apart by a gap, within a margin, on as few sheets as a plain rule finds; the same pieces give the same sheets. Shows each sheet at equal scale.
 *
 * ```ts
 * const sheets = air.nest(cut, { sheet: ["600 mm", "400 mm"], margin: "5 mm", gap: "3 mm" });
 * ```
 *
 * @param pieces  the result of cutLayers (the line of the tool is laid), or a list of pieces, whose outlines are the line of the tool
 * @throws InputError  when a piece is larger than a sheet (says which size would do), or an option is wrong
 */
export function nest(pieces: PiecesInput, options: NestWords): NotebookNest & Showable {
  const word = "nest", list = piecesFrom(pieces, word);
  checkKeys(word, options, ["sheet", "margin", "gap", "grain", "turns", "inHoles", "leadIn", "kerf"]);
  if (!Array.isArray(options.sheet) || options.sheet.length !== 2) throw new InputError({ where: `${word}.sheet`, came: shownValue(options.sheet), expected: 'two sides are expected, such as ["600 mm", "400 mm"]' });
  const sheet = [toPositiveSI(options.sheet[0], "length", `${word}.sheet[0]`), toPositiveSI(options.sheet[1], "length", `${word}.sheet[1]`)] as const;
  const length = (key: "margin" | "gap" | "leadIn" | "kerf", usual: QuantityInput): number => toSI(options[key] ?? usual, "length", `${word}.${key}`);
  const margin = length("margin", "5 mm"), gap = length("gap", "3 mm"), leadIn = length("leadIn", 0), kerf = length("kerf", kerfOf(pieces)), { inHoles = true, turns } = options;
  checkFlag(inHoles, `${word}.inHoles`);
  for (const [key, value] of [["leadIn", leadIn], ["kerf", kerf]] as const) if (value < 0) throw new InputError({ where: `${word}.${key}`, came: shownValue(options[key]), expected: "zero or more is expected" });
  for (const [key, value, usual, reason] of [["gap", gap, "3 mm", "reach the next piece"], ["margin", margin, "5 mm", "leave the sheet"]] as const) if (leadIn > 0 && leadIn + kerf > value) throw new InputError({ where: `${word}.${key}`, came: shownValue(options[key] ?? usual), expected: `at least ${Number((1000 * (leadIn + kerf)).toFixed(3))} mm are expected`, hint: `a lead-in must not ${reason}` });
  if (turns !== undefined && (!Array.isArray(turns) || turns.length === 0)) throw new InputError({ where: `${word}.turns`, came: shownValue(turns), expected: 'a list of angles is expected, such as ["0 deg", "90 deg"]' });
  const nested = nestPieces(list, {
    sheet, margin, gap, inHoles,
    ...(options.grain === undefined ? {} : { grain: toSI(options.grain, "angle", `${word}.grain`) }),
    ...(turns === undefined ? {} : { turns: turns.map((turn, i) => toSI(turn, "angle", `${word}.turns[${i}]`)) }),
  }, word);
  const found: NotebookNest = { ...nested, lines: Object.freeze({ leadIn, kerf }) };
  return makeShowable(found, () => [sheetsTable(found), ...found.sheets.map((one) => sheetFigure(one))], () => sheetsLine(found));
}

/** Width of the cut that the pieces of a box were made for, m; 0 where it is not known. */
function kerfOf(pieces: unknown): number {
  const kerf = (pieces as { options?: { making?: { kerf?: unknown } } } | null | undefined)?.options?.making?.kerf;
  return typeof kerf === "number" ? kerf : 0;
}

/** The nest that came, or an error that says what is expected. */
export function nestFrom(value: unknown, word: string): NotebookNest {
  const nested = value as Partial<NotebookNest> | null | undefined;
  if (typeof nested === "object" && nested !== null && Array.isArray(nested.sheets) && typeof nested.options === "object" && typeof nested.lines === "object") return nested as NotebookNest;
  throw new InputError({ where: word, came: shownValue(value), expected: "the result of nest is expected" });
}
