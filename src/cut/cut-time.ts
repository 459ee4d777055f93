import { InputError } from "../errors.js";
import type { PlanePoint } from "../geometry/shape.js";
import type { Nested } from "./nest.js";
import { type CutLineOptions, sheetCuts } from "./sheet-cuts.js";

/** What a machine does in one pass over one layer. */
export interface LayerCutting {
  /** first is 1, no unit */
  readonly layer: number;
  /** of all its lines, one pass, m */
  readonly cutLength: number;
  /** between its lines with the tool off, one pass, m */
  readonly travelLength: number;
  /** lines that are begun in one pass, no unit */
  readonly starts: number;
}

/** How a machine cuts. */
export interface CutTimeOptions {
  /** of the tool along a line, m/s */
  readonly speed: number;
  /** times that each line is cut, no unit */
  readonly passes: number;
  /** between lines, m/s */
  readonly travelSpeed: number;
  /** to begin a line, s */
  readonly startTime: number;
  /** to lay a sheet, focus and take pieces out, for each layer, s */
  readonly handlingTime: number;
  /** how passes follow each other: all of a line before the next line, or all lines of the sheet and then again */
  readonly order: "line by line" | "sheet by sheet";
}

/** The time of one layer. */
export interface LayerTime extends LayerCutting {
  /** tool on, s */
  readonly cutting: number;
  /** tool off, s */
  readonly travel: number;
  /** all of it, beginning lines and handling too, s */
  readonly total: number;
}

/** Which layers are cut on a day. */
export interface CutDay {
  /** first is 1, no unit */
  readonly day: number;
  /** numbers of the layers, no unit */
  readonly layers: readonly number[];
  /** s */
  readonly time: number;
}

/** The time of all layers. */
export interface CutTime {
  readonly options: CutTimeOptions;
  readonly layers: readonly LayerTime[];
  /** tool on, s */
  readonly cutting: number;
  /** tool off, s */
  readonly travel: number;
  /** s */
  readonly total: number;
}

/** Lines, travel and starts of each layer, one pass, over all sheets; the way to a line belongs to the layer of that line, the way home to the last one. */
export function layerCutting({ sheets }: Nested, options: CutLineOptions): readonly LayerCutting[] {
  const layers = new Map<number, { cutLength: number; travelLength: number; starts: number }>();
  for (const sheet of sheets) {
    let here: PlanePoint = [0, 0], lastLayer: number | undefined;
    const away = (to: PlanePoint): number => Math.hypot(to[0] - here[0], to[1] - here[1]);
    for (const { layer, operation, cuts } of sheetCuts(sheet, options)) {
      if (operation === "labels") continue;
      const sum = layers.get(layer) ?? { cutLength: 0, travelLength: 0, starts: 0 };
      for (const { line, circle } of cuts) {
        const start: PlanePoint = circle ? [circle.centre[0] + circle.radius, circle.centre[1]] : line[0]!;
        sum.travelLength += away(start);
        sum.starts += 1;
        here = circle ? start : line[line.length - 1]!;
        sum.cutLength += circle ? 2 * Math.PI * circle.radius : line.slice(1).reduce((length, [x, y], i) => length + Math.hypot(x - line[i]![0], y - line[i]![1]), 0);
      }
      layers.set(layer, sum);
      lastLayer = layer;
    }
    if (lastLayer !== undefined) layers.get(lastLayer)!.travelLength += away([0, 0]);
  }
  return [...layers].map(([layer, sums]) => ({ layer, ...sums })).sort((a, b) => a.layer - b.layer);
}

/**
 * Time per layer and in all, s: length per pass times passes over speed, and travel, starts and handling.
 *
 * Line by line, a closed line is cut again from where it ended and travel counts once; sheet by sheet it counts once a pass. Speeding up and
 * slowing down at corners is left out: a machine that is slow at it takes longer.
 * Source: derived here; 6000 mm a pass, 6 passes and 100 mm/min are 6 h of cutting (common practice, no source).
 *
 * @throws InputError  when a number is not above zero
 */
export function cutTime(layers: readonly LayerCutting[], options: CutTimeOptions, where: string = "cutTime"): CutTime {
  const { speed, passes, travelSpeed, startTime, handlingTime, order } = options;
  for (const [name, value] of [["speed", speed], ["travelSpeed", travelSpeed]] as const) if (!(value > 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: `${value} m/s`, expected: "a speed above zero is expected" });
  for (const [name, value] of [["startTime", startTime], ["handlingTime", handlingTime]] as const) if (!(value >= 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: `${value} s`, expected: "zero or more is expected" });
  if (!Number.isInteger(passes) || passes < 1 || passes > 1000) throw new InputError({ where: `${where}.passes`, came: `${passes}`, expected: "a whole number from 1 to 1000 is expected" });
  const times = layers.map((layer): LayerTime => {
    const repeats = order === "sheet by sheet" ? passes : 1, cutting = (layer.cutLength * passes) / speed, travel = (layer.travelLength * repeats) / travelSpeed;
    return Object.freeze({ ...layer, cutting, travel, total: cutting + travel + layer.starts * passes * startTime + handlingTime });
  });
  const sum = (part: "cutting" | "travel" | "total"): number => times.reduce((all, time) => all + time[part], 0);
  return Object.freeze({ options, layers: Object.freeze(times), cutting: sum("cutting"), travel: sum("travel"), total: sum("total") });
}

/**
 * Layers on days, in their order, at so many a day; a day ends early where its hours are used up.
 *
 * @param options  layersPerDay: no unit; timePerDay: s, no limit when missing
 * @throws InputError  when one layer alone takes longer than a day has
 */
export function cutCalendar({ layers }: Pick<CutTime, "layers">, { layersPerDay, timePerDay = Infinity }: { readonly layersPerDay: number; readonly timePerDay?: number | undefined }, where: string = "cutTime"): readonly CutDay[] {
  if (!Number.isInteger(layersPerDay) || layersPerDay < 1) throw new InputError({ where: `${where}.layersPerDay`, came: `${layersPerDay}`, expected: "a whole number of at least 1 is expected" });
  const days: { layers: number[]; time: number }[] = [];
  for (const { layer, total } of layers) {
    if (total > timePerDay) throw new InputError({ where: `${where}.timePerDay`, came: `${(timePerDay / 3600).toFixed(2)} h for layer ${layer} of ${(total / 3600).toFixed(2)} h`, expected: `at least ${(Math.ceil(total / 36) / 100).toFixed(2)} h are expected`, hint: "or cut faster, or with fewer passes" });
    const last = days[days.length - 1];
    if (last === undefined || last.layers.length >= layersPerDay || last.time + total > timePerDay) days.push({ layers: [layer], time: total });
    else {
      last.layers.push(layer);
      last.time += total;
    }
  }
  return days.map((day, i) => ({ day: i + 1, ...day }));
}
