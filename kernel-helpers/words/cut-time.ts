import { InputError } from "../../src/errors.js";
import { cutCalendar, type CutDay, cutTime as timeOf, type CutTime, layerCutting } from "../../src/cut/cut-time.js";
import { materials, type Materials } from "../../src/cut/materials.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity, type QuantityInput, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, Table } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { oneOf } from "./names.js";
import { type NotebookNest, nestFrom } from "./nest.js";

/** How the machine cuts, and what the sheets are like. */
export interface CutTimeWords {
  /** of the tool along a line: m/s, or "100 mm/min" */
  readonly speed: QuantityInput;
  /** times that each line is cut, no unit */
  readonly passes: number;
  /** between lines: m/s, or "3000 mm/min" (when missing) */
  readonly travelSpeed?: QuantityInput;
  /** to begin a line, such as to sink a mill or to pierce: s, or "1 s"; none when missing */
  readonly startTime?: QuantityInput;
  /** to lay a sheet, focus and clear, for each layer: s, or "10 min"; none when missing */
  readonly handlingTime?: QuantityInput;
  /** "line by line" (when missing) cuts all passes of a line before the next; "sheet by sheet" all lines once, and then again */
  readonly order?: "line by line" | "sheet by sheet";
  /** layers that are cut on a day, no unit; no calendar when missing */
  readonly layersPerDay?: number;
  /** what a day has: s, or "4 h"; no limit when missing */
  readonly timePerDay?: QuantityInput;
  /** what the sheets are like; no list of materials when missing */
  readonly material?: {
    /** of a sheet as measured: m, or "5.8 mm" */
    readonly thickness: QuantityInput;
    /** kg/m^3, or "650 kg/m^3" */
    readonly density: QuantityInput;
    /** of one sheet in any currency, no unit; no cost when missing */
    readonly price?: number;
    /** spread on one of two faces: kg/m^2, or "150 g/m^2" (when missing: common practice for white glue, no source) */
    readonly glue?: QuantityInput;
    /** in all, no unit; 0 when missing */
    readonly screws?: number;
  };
}

/** Time, days and materials. */
export interface NotebookCutTime extends CutTime {
  /** empty where no layers per day were given */
  readonly days: readonly CutDay[];
  /** missing where no material was given */
  readonly materials?: Materials;
}

/**
 * How long the machine cuts, per layer and in all, in s: length per pass times passes over speed, travel, starts and handling; days at so many layers a day; sheets, mass, cost, glue and screws.
 *
 * ```ts
 * air.cutTime(sheets, { speed: "100 mm/min", passes: 6, layersPerDay: 2, material: { thickness: "5.8 mm", density: "650 kg/m^3" } });
 * ```
 *
 * @param nested  from `nest`
 * @throws InputError  when an option is wrong, or one layer takes longer than a day has
 */
export function cutTime(nested: NotebookNest, options: CutTimeWords): NotebookCutTime & Showable {
  const word = "cutTime", nest = nestFrom(nested, word);
  checkKeys(word, options, ["speed", "passes", "travelSpeed", "startTime", "handlingTime", "order", "layersPerDay", "timePerDay", "material"]);
  const { layersPerDay, timePerDay, order = "line by line" } = options;
  if (timePerDay !== undefined && layersPerDay === undefined) throw new InputError({ where: `${word}.timePerDay`, came: shownValue(timePerDay), expected: "layersPerDay is expected with it", hint: "a large number leaves it to the hours" });
  const time = timeOf(layerCutting(nest, nest.lines), {
    speed: toSI(options.speed, "speed", `${word}.speed`), passes: options.passes, travelSpeed: toSI(options.travelSpeed ?? "3000 mm/min", "speed", `${word}.travelSpeed`),
    startTime: toSI(options.startTime ?? 0, "time", `${word}.startTime`), handlingTime: toSI(options.handlingTime ?? 0, "time", `${word}.handlingTime`), order: oneOf(order, ["line by line", "sheet by sheet"], `${word}.order`),
  }, word);
  const days = layersPerDay === undefined ? [] : cutCalendar(time, { layersPerDay, ...(timePerDay === undefined ? {} : { timePerDay: toSI(timePerDay, "time", `${word}.timePerDay`) }) }, word);
  const found: NotebookCutTime = { ...time, days, ...(options.material === undefined ? {} : { materials: materialsFrom(nest, options.material, `${word}.material`) }) };
  return makeShowable(found, () => [timeTable(found), ...(days.length > 0 ? [dayTable(days)] : []), ...(found.materials ? [materialTable(found.materials)] : [])], () => `${hours(found.total)} in all, of which ${hours(found.cutting)} cutting`);
}

function materialsFrom(nest: NotebookNest, words: NonNullable<CutTimeWords["material"]>, field: string): Materials {
  checkKeys(field, words, ["thickness", "density", "price", "glue", "screws"]);
  const { price, screws = 0 } = words;
  for (const [key, value] of [["price", price ?? 0], ["screws", screws]] as const) if (typeof value !== "number") throw new InputError({ where: `${field}.${key}`, came: shownValue(value), expected: "a number is expected" });
  return materials(nest, {
    thickness: toSI(words.thickness, "length", `${field}.thickness`), density: toSI(words.density, "density", `${field}.density`), glue: toSI(words.glue ?? "150 g/m^2", "mass per area", `${field}.glue`), screws, ...(price === undefined ? {} : { price }),
  }, field);
}

/** "1 h 05 min". */
function hours(seconds: number): string {
  const minutes = Math.round(seconds / 60), whole = Math.floor(minutes / 60);
  return whole === 0 ? (minutes === 0 ? `${Math.round(seconds)} s` : `${minutes} min`) : `${whole} h ${String(minutes % 60).padStart(2, "0")} min`;
}

function timeTable({ layers, cutting, travel, total, options }: NotebookCutTime): Table {
  const row = (name: string, length: string, times: readonly number[]): readonly string[] => [name, length, ...times.map(hours)];
  return {
    kind: "table",
    title: `Cutting takes ${hours(total)}: ${options.passes === 1 ? "1 pass" : `${options.passes} passes`} at ${formatNumber(60_000 * options.speed)} mm/min, ${options.order}`,
    columns: ["layer", "cuts in one pass", "cutting", "travel", "in all"],
    rows: [...layers.map((layer) => row(`${layer.layer}`, formatQuantity(layer.cutLength, "m"), [layer.cutting, layer.travel, layer.total])), row("all", formatQuantity(layers.reduce((sum, layer) => sum + layer.cutLength, 0), "m"), [cutting, travel, total])],
  };
}

function dayTable(days: readonly CutDay[]): Table {
  return { kind: "table", title: days.length === 1 ? "1 day" : `${days.length} days`, columns: ["day", "layers", "time"], rows: days.map(({ day, layers, time }) => [`${day}`, layers.join(", "), hours(time)]) };
}

function materialTable({ sheets, sheetMass, pieceMass, used, cost, glueArea, glueMass, screws }: Materials): Table {
  return {
    kind: "table",
    title: "Materials",
    columns: ["what", "how much"],
    rows: [
      ["sheets", `${sheets}`], ["mass of the sheets", formatQuantity(sheetMass, "kg")], ["mass of the pieces", formatQuantity(pieceMass, "kg")], ["used", `${formatNumber(100 * used)} %`],
      ...(cost === undefined ? [] : [["cost of the sheets", formatNumber(cost, 6)]]), ["faces to glue", formatQuantity(glueArea, "m^2")], ["glue", formatQuantity(glueMass, "kg")], ["screws", `${screws}`],
    ],
  };
}
