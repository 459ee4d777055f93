import { InputError } from "../errors.js";
import type { PlanePoint } from "../geometry/shape.js";
import { makeShape } from "../geometry/shape.js";
import { studentQuantile } from "../math/student-quantile.js";
import { type Note, remark, warning } from "../notes.js";
import type { SheetPiece } from "./moved.js";

/** What a comb is like, m. */
export interface CombOptions {
  /** widths of the gaps as drawn, m */
  readonly gaps: readonly number[];
  /** width of the teeth as drawn, m */
  readonly tooth: number;
  /** depth of the gaps, m */
  readonly depth: number;
}

/** One gap or tooth, as drawn and as measured. */
export interface MeasuredWidth {
  readonly part: "gap" | "tooth";
  /** m */
  readonly drawn: number;
  /** m */
  readonly measured: number;
}

/** Width of the cut. */
export interface KerfResult {
  /** m */
  readonly kerf: number;
  /** half width of its 95 % interval, m; Infinity with a single measurement */
  readonly halfWidth: number;
  /** standard deviation of the single widths, m; NaN never: 0 with a single measurement */
  readonly scatter: number;
  /** drawn length to cut length as far as gaps and teeth tell, no unit; missing where they do not */
  readonly scale?: number;
  readonly notes: readonly Note[];
}

/**
 * A comb whose drawn lines are cut as they are, without allowance for the cut: gaps come out wider, teeth narrower, both by the width of the cut, m.
 *
 * @throws InputError  when a width is not above zero
 */
export function combPiece({ gaps, tooth, depth }: CombOptions, where: string = "kerfTest"): SheetPiece {
  if (gaps.length < 2) throw new InputError({ where: `${where}.gaps`, came: `${gaps.length} gaps`, expected: "two gaps at least are expected" });
  for (const [name, value] of [...gaps.map((gap, i) => [`gaps[${i}]`, gap] as const), ["tooth", tooth] as const, ["depth", depth] as const]) if (!(value > 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: `${value} m`, expected: "a length above zero is expected" });
  const spine = 0.012, height = spine + depth, points: PlanePoint[] = [];
  let x = tooth;
  const top: PlanePoint[] = [[0, height]];
  for (const gap of gaps) {
    top.push([x, height], [x, spine], [x + gap, spine], [x + gap, height]);
    x += gap + tooth;
  }
  top.push([x, height]);
  points.push([0, 0], [x, 0], ...top.reverse());
  const label = `gaps ${gaps.map(mmOf).join(" ")} teeth ${mmOf(tooth)}`;
  return Object.freeze({ number: 1, layer: 1, label, shape: makeShape(points), circles: [], labelPlace: { at: [x / 2, spine / 2] as PlanePoint, height: Math.min(0.004, (0.9 * x) / (0.62 * label.length)), angle: 0 } });
}

/**
 * Width of the cut from measured gaps (drawn width and one cut) and teeth (drawn width less one cut), with its 95 % interval, m.
 *
 * The interval holds the scatter of the widths and the reading of the caliper, which does not average out. With gaps and teeth, or gaps of
 * very different widths, the scale of the machine's axis is told apart from the cut: it is taken into account only where it is surely not 1.
 * Source: JCGM 100:2008 (guide to the expression of uncertainty), 4.2 (scatter), 4.3.7 (limits of a reading), 5.1.2 (sum of squares); straight line by least squares.
 *
 * @param options  reading: greatest error of the caliper, m
 */
export function kerfFromWidths(widths: readonly MeasuredWidth[], { reading }: { readonly reading: number }, where: string = "kerfFrom"): KerfResult {
  if (widths.length === 0) throw new InputError({ where, came: "no widths", expected: "at least one measured gap is expected" });
  if (!(reading >= 0) || !Number.isFinite(reading)) throw new InputError({ where: `${where}.reading`, came: `${reading} m`, expected: "zero or more is expected" });
  widths.forEach(({ drawn, measured }, i) => {
    for (const [name, value] of [["drawn", drawn], ["measured", measured]] as const) if (!(value > 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}[${i}].${name}`, came: `${value} m`, expected: "a width above zero is expected" });
  });
  const n = widths.length, notes: Note[] = [];
  // signed: a gap s d + k, a tooth s d - k; so k = sign (measured - s d)
  const signs = widths.map(({ part }) => (part === "gap" ? 1 : -1)), plain = widths.map(({ drawn, measured }, i) => signs[i]! * (measured - drawn));
  const mean = plain.reduce((sum, value) => sum + value, 0) / n, deviation = n > 1 ? Math.sqrt(plain.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (n - 1)) : 0;
  let kerf = mean, scatter = deviation, standardError = n > 1 ? deviation / Math.sqrt(n) : Infinity, freedom = n - 1, scale: number | undefined;
  const drawn = widths.map((width, i) => signs[i]! * width.drawn), middle = drawn.reduce((sum, value) => sum + value, 0) / n, spread = drawn.reduce((sum, value) => sum + (value - middle) ** 2, 0);
  if (n >= 4 && spread > 1e-12) {
    const stretch = drawn.reduce((sum, value, i) => sum + (value - middle) * plain[i]!, 0) / spread, zero = mean - stretch * middle;
    const rest = Math.sqrt(plain.reduce((sum, value, i) => sum + (value - zero - stretch * drawn[i]!) ** 2, 0) / (n - 2)), half = studentQuantile(0.995, n - 2) * Math.hypot(rest, reading / Math.sqrt(3)) / Math.sqrt(spread);
    scale = 1 + stretch;
    if (Math.abs(stretch) > half) {
      [kerf, scatter, freedom] = [zero, rest, n - 2];
      standardError = rest * Math.sqrt(1 / n + middle ** 2 / spread);
      notes.push(warning(where, `lengths come out ${(100 * Math.abs(stretch)).toFixed(2)} % too ${stretch > 0 ? "long" : "short"} (surely beyond ${(100 * half).toFixed(2)} %): set the steps per mm of the machine right before you trust any size`));
    }
  }
  const halfWidth = Math.hypot(n > 1 ? studentQuantile(0.975, freedom) * standardError : Infinity, (1.96 * reading) / Math.sqrt(3));
  if (n === 1) notes.push(warning(where, "one width tells no scatter: measure at least three gaps"));
  if (kerf <= 0) notes.push(warning(where, "the cut came out zero or negative: gaps and teeth may have been exchanged, or the drawing was compensated already"));
  else if (halfWidth > 0.3 * kerf && n > 1) notes.push(remark(where, "the interval is wider than a third of the cut: measure more gaps, or with a finer caliper"));
  return Object.freeze({ kerf, halfWidth, scatter, ...(scale === undefined ? {} : { scale }), notes: Object.freeze(notes) });
}

function mmOf(length: number): string {
  return `${Number((1000 * length).toFixed(2))}`;
}
