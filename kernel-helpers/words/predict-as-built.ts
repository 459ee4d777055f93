import type { Prediction } from "../../src/predict/predict.js";
import { InputError } from "../../src/errors.js";
import { type Note, remark } from "../../src/notes.js";
import { formatQuantity } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table } from "../show/view.js";
import { conditions } from "./prediction-plots.js";
import type { NotebookLayout } from "./fold.js";
import { limitNotes } from "./fold-figures.js";
import { type NotebookPrediction, predict, type PredictWords } from "./predict.js";

/** A folded design beside the one that was wanted. */
export interface AsBuiltPrediction {
  /** of the design that was folded */
  readonly target: NotebookPrediction;
  /** of the same with its path as built */
  readonly asBuilt: NotebookPrediction;
  /** level as built minus level wanted, dB, n values */
  readonly difference: Float64Array;
  /** first frequency at which they are more than 1 dB apart, Hz; undefined where they never are */
  readonly apartFrom: number | undefined;
}

/**
 * Predicts a folded design as built beside the target: level of both (dB re 20 uPa), their difference (dB), and from where on they are more than 1 dB apart.
 *
 * ```ts
 * await air.show(air.predictAsBuilt(layout, { drive: "2.83 V", space: "half", distance: "1 m" }));
 * ```
 *
 * @throws InputError  when the layout was made from a plain path, or an option is wrong
 */
export function predictAsBuilt(layout: NotebookLayout, options: PredictWords = {}): AsBuiltPrediction & Showable {
  if (typeof layout !== "object" || layout === null || layout.design === undefined || layout.wanted === undefined) {
    throw new InputError({ where: "predictAsBuilt", came: "a layout without a design", expected: "what fold made from a design is expected", hint: "fold(box, { ... }) with a tapped horn, a line or a horn" });
  }
  const target = predict(layout.wanted, options), asBuilt = predict(layout.design, options), f = target.frequencies;
  const difference = asBuilt.level.map((x, i) => x - target.level[i]!), first = difference.findIndex((x) => !(Math.abs(x) <= 1));
  const apartFrom = first < 0 ? undefined : f[first]!;
  return makeShowable(
    { target, asBuilt, difference, apartFrom },
    () => [figure(layout, [target, asBuilt], difference), table(layout, [target, asBuilt], { difference, apartFrom })],
    () => `"${layout.name}" as built: ${apartFrom === undefined ? "within 1 dB of the target everywhere" : `within 1 dB of the target below ${formatQuantity(apartFrom, "Hz", 3)}`}`,
  );
}

function figure(layout: NotebookLayout, [target, asBuilt]: readonly [Prediction, Prediction], difference: Float64Array): Figure {
  const f = target.frequencies, { soundSpeed } = target.air;
  return {
    kind: "figure",
    title: `${layout.name}: as folded beside what was wanted`,
    subtitle: conditions([target, asBuilt]),
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: [f[0]!, f[f.length - 1]!] },
    panels: [
      { quantity: "level", unit: "dB re 20 uPa", weight: 2, traces: [{ name: "as folded", x: f, y: asBuilt.level, role: "prediction" }, { name: "wanted", x: f, y: target.level, role: "comparison" }] },
      { quantity: "difference", unit: "dB", traces: [{ name: "as folded minus wanted", x: f, y: difference, role: "residual" }] },
    ],
    notes: [...limitNotes(layout.built, layout.name, soundSpeed), ...asBuilt.notes],
  };
}

function table(layout: NotebookLayout, [target]: readonly [Prediction, Prediction], { difference, apartFrom }: Pick<AsBuiltPrediction, "difference" | "apartFrom">): Table {
  const f = target.frequencies, bands = [[20, 40], [40, 80], [80, 160], [160, 320]] as const, rows: string[][] = [];
  for (const [from, to] of bands) {
    const inside = difference.filter((_, i) => f[i]! >= from && f[i]! < to);
    if (inside.length > 0) rows.push([`${from} to ${to} Hz`, `${inside.reduce((most, x) => Math.max(most, Math.abs(x)), 0).toFixed(2)} dB`]);
  }
  rows.push(["first more than 1 dB apart", apartFrom === undefined ? "nowhere" : formatQuantity(apartFrom, "Hz", 3)]);
  const notes: Note[] = [remark(layout.name, "What differs: turns have their own mass and volume, boards are straight, and the body of a driver takes room. Where two resonances lie a little apart, their flanks are several dB apart.")];
  return { kind: "table", title: `${layout.name}: largest difference`, columns: ["band", "difference of level"], rows, notes };
}
