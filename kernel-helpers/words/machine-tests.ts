import { InputError } from "../../src/errors.js";
import { combPiece, type KerfResult, kerfFromWidths, type MeasuredWidth } from "../../src/cut/kerf-test.js";
import type { SheetPiece } from "../../src/cut/moved.js";
import { type CutSetting, type Finish, settingFromTests, type TestCut } from "../../src/cut/test-cut.js";
import { checkKeys } from "../options.js";
import { formatNumber, type QuantityInput, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, Table } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { checkFlag, oneOf } from "./names.js";

/** One test cut. */
export interface TestCutWords {
  /** m/s, or "300 mm/min" */
  readonly speed: QuantityInput;
  /** no unit */
  readonly passes: number;
  /** share of the machine's full power: 0.8, or "80 %" */
  readonly power: QuantityInput;
  /** air blown into the cut; "on" when missing */
  readonly assist?: "on" | "off";
  /** true where the piece fell out by itself everywhere */
  readonly through: boolean;
  /** edge of the cut; "brown" when missing */
  readonly finish?: Finish;
}

const finishes = ["clean", "brown", "charred"] as const;

/**
 * The setting to use after test cuts, m/s: the quickest that cut through, slowed down by a margin, with what the table says about it.
 *
 * ```ts
 * air.testCuts([{ speed: "300 mm/min", passes: 4, power: "80 %", through: true }, { speed: "400 mm/min", passes: 4, power: "80 %", through: false }]);
 * ```
 *
 * @param options  margin of speed, 0.25 or "25 %" when missing (common practice, no source); finish: worst edge that will do, "brown" when missing
 * @throws InputError  when no setting cut through with that edge, or a value is wrong
 */
export function testCuts(tests: readonly TestCutWords[], options: { readonly margin?: QuantityInput; readonly finish?: Finish } = {}): CutSetting & Showable {
  const word = "testCuts";
  if (!Array.isArray(tests) || tests.length === 0) throw new InputError({ where: word, came: Array.isArray(tests) ? "an empty list" : shownValue(tests), expected: "a list of test cuts is expected, such as [{ speed: \"300 mm/min\", passes: 4, power: \"80 %\", through: true }]" });
  checkKeys(word, options, ["margin", "finish"]);
  const read = tests.map((test: TestCutWords, i): TestCut => {
    const field = `${word}[${i}]`;
    checkKeys(field, test, ["speed", "passes", "power", "assist", "through", "finish"]);
    checkFlag(test.through, `${field}.through`);
    return { speed: toSI(test.speed, "speed", `${field}.speed`), passes: test.passes, power: toSI(test.power, "none", `${field}.power`), assist: oneOf(test.assist ?? "on", ["on", "off"], `${field}.assist`), through: test.through, finish: oneOf(test.finish ?? "brown", finishes, `${field}.finish`) };
  });
  const setting = settingFromTests(read, { margin: toSI(options.margin ?? 0.25, "none", `${word}.margin`), finish: oneOf(options.finish ?? "brown", finishes, `${word}.finish`) }, word);
  return makeShowable({ ...setting }, () => [settingTable(setting), testTable(read)], () => settingLine(setting));
}

const perMinute = (speed: number): string => (Number.isFinite(speed) ? `${formatNumber(60_000 * speed, 4)} mm/min` : "none tried");

function settingLine({ speed, passes, power, assist, margin }: CutSetting): string {
  return `${perMinute(speed)}, ${passes === 1 ? "1 pass" : `${passes} passes`}, ${formatNumber(100 * power)} % power, assist ${assist}; margin ${formatNumber(100 * margin)} %`;
}

function settingTable(setting: CutSetting): Table {
  const { fastestThrough, slowestNotThrough, isTested, timePerLength, notes } = setting;
  return {
    kind: "table",
    title: `Cut at ${settingLine(setting)}`,
    columns: ["what", "how much"],
    rows: [["fastest that cut through", perMinute(fastestThrough)], ["slowest that did not", perMinute(slowestNotThrough)], ["tested just so", isTested ? "yes" : "no"], ["time for a metre", `${formatNumber(timePerLength / 60)} min`]],
    notes,
  };
}

function testTable(tests: readonly TestCut[]): Table {
  return { kind: "table", title: "Test cuts", columns: ["speed", "passes", "power", "assist", "through", "edge"], rows: tests.map(({ speed, passes, power, assist, through, finish }) => [perMinute(speed), `${passes}`, `${formatNumber(100 * power)} %`, assist, through ? "yes" : "no", finish]) };
}

/** What a comb is like. */
export interface KerfTestWords {
  /** widths of its gaps as drawn: m, or texts; 2, 4, 6, 8 and 10 mm when missing */
  readonly gaps?: readonly QuantityInput[];
  /** width of its teeth as drawn: m, or "8 mm" (when missing) */
  readonly tooth?: QuantityInput;
  /** depth of its gaps: m, or "15 mm" (when missing) */
  readonly depth?: QuantityInput;
}

/**
 * A comb to be cut with its drawn lines just as they are, m: the width of the cut follows from how much wider its gaps and narrower its teeth come out. Lay it with `nest(comb.pieces, ...)`.
 *
 * ```ts
 * const comb = air.kerfTest({});
 * ```
 *
 * @throws InputError  when an option is wrong
 */
export function kerfTest(options: KerfTestWords = {}): { readonly pieces: readonly SheetPiece[] } & Showable {
  const word = "kerfTest";
  checkKeys(word, options, ["gaps", "tooth", "depth"]);
  const { gaps = ["2 mm", "4 mm", "6 mm", "8 mm", "10 mm"] } = options;
  if (!Array.isArray(gaps)) throw new InputError({ where: `${word}.gaps`, came: shownValue(gaps), expected: 'a list of widths is expected, such as ["2 mm", "4 mm"]' });
  const drawn = gaps.map((gap: QuantityInput, i) => toSI(gap, "length", `${word}.gaps[${i}]`)), tooth = toSI(options.tooth ?? "8 mm", "length", `${word}.tooth`);
  const piece = combPiece({ gaps: drawn, tooth, depth: toSI(options.depth ?? "15 mm", "length", `${word}.depth`) }, word);
  return makeShowable({ pieces: Object.freeze([piece]) }, () => [
    { kind: "text", title: "Comb for the width of the cut", paragraphs: [`From left to right: gaps of ${drawn.map((gap) => formatNumber(1000 * gap, 4)).join(", ")} mm, teeth of ${formatNumber(1000 * tooth, 4)} mm between and beside them. Cut it from the sheet that the box is made of, with the setting of the box and without any allowance for the cut.`, "Measure each gap and each tooth at half the thickness of the sheet, and give what was drawn and measured to kerfFrom."] },
  ], () => piece.label);
}

/** Widths as drawn and measured. */
export interface MeasuredWidths {
  /** pairs of drawn and measured width: m, or texts such as ["4 mm", "4.21 mm"] */
  readonly gaps: readonly (readonly [drawn: QuantityInput, measured: QuantityInput])[];
  /** pairs of drawn and measured width: m, or texts; none when missing */
  readonly teeth?: readonly (readonly [drawn: QuantityInput, measured: QuantityInput])[];
}

/**
 * Width of the cut from a comb's gaps and teeth, m, with its 95 % interval.
 *
 * ```ts
 * const { kerf } = air.kerfFrom({ gaps: [["2 mm", "2.19 mm"], ["4 mm", "4.22 mm"], ["6 mm", "6.20 mm"]] });
 * ```
 *
 * @param options  reading: greatest error of the caliper, m or "0.02 mm" (when missing)
 * @throws InputError  when a width is wrong
 */
export function kerfFrom(widths: MeasuredWidths, options: { readonly reading?: QuantityInput } = {}): KerfResult & Showable {
  const word = "kerfFrom";
  checkKeys(word, widths, ["gaps", "teeth"]);
  checkKeys(word, options, ["reading"]);
  const listOf = (list: unknown, part: "gap" | "tooth", field: string): MeasuredWidth[] => {
    if (!Array.isArray(list)) throw new InputError({ where: field, came: shownValue(list), expected: 'a list of pairs is expected, such as [["4 mm", "4.21 mm"]]' });
    return list.map((pair: unknown, i) => {
      if (!Array.isArray(pair) || pair.length !== 2) throw new InputError({ where: `${field}[${i}]`, came: shownValue(pair), expected: "drawn and measured width are expected" });
      return { part, drawn: toSI(pair[0] as QuantityInput, "length", `${field}[${i}][0]`), measured: toSI(pair[1] as QuantityInput, "length", `${field}[${i}][1]`) };
    });
  };
  const read = [...listOf(widths.gaps, "gap", `${word}.gaps`), ...listOf(widths.teeth ?? [], "tooth", `${word}.teeth`)];
  const found = kerfFromWidths(read, { reading: toSI(options.reading ?? "0.02 mm", "length", `${word}.reading`) }, word), mm = (length: number): string => `${formatNumber(1000 * length, 3)} mm`;
  const line = `width of the cut ${mm(found.kerf)} +- ${Number.isFinite(found.halfWidth) ? mm(found.halfWidth) : "unknown"}`;
  return makeShowable({ ...found }, () => [
    { kind: "table", title: `${line[0]!.toUpperCase()}${line.slice(1)} (95 %)`, columns: ["part", "drawn", "measured", "cut"], rows: read.map(({ part, drawn, measured }) => [part, `${formatNumber(1000 * drawn, 5)} mm`, `${formatNumber(1000 * measured, 5)} mm`, `${formatNumber(1000 * (part === "gap" ? measured - drawn : drawn - measured), 3)} mm`]), notes: found.notes },
  ], () => line);
}
