import type { Curve } from "../../src/math/curve.js";
import { errorAt, trustAt } from "../../src/measure/overlay-uncertainty.js";
import type { ClosedGate } from "../../src/measure/gated-prediction.js";
import { sameNumbers } from "../../src/measure/common-frequencies.js";
import type { Note } from "../../src/notes.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { curveOf, type CurveSource, uncertaintyOf } from "./curve-source.js";
import { gateOf } from "./gated-as-measured.js";
import { workedFigure, workedLine } from "./worked-figures.js";

/** A curve that was worked on: it can be worked on further, and given to `overlay` and `explain` like a measurement. */
export interface WorkedCurve {
  /** name for legends */
  readonly name: string;
  readonly curve: Curve;
  /** what was done so far, in words, one for each step */
  readonly steps: readonly string[];
  /** 1 where the curve is trusted, 0 elsewhere, n values, no unit; missing where nothing is said of it */
  readonly trusted?: Uint8Array;
  /** standard error of the level, dB, n values; missing where it is not known */
  readonly standardErrorDb?: Float64Array;
  /** standard deviation of the level between positions, dB, n values; after an average of positions */
  readonly spreadDb?: Float64Array;
  /** standard deviation of the level as a whole, dB: that of the calibrator; missing where it is not known */
  readonly levelUncertaintyDb?: number;
  /** what was kept of the impulse response that it was taken from, s from its time zero; missing without a gate */
  readonly gate?: ClosedGate;
  /** true for a difference of levels, which is drawn about zero */
  readonly isDifference?: boolean;
  /** what the levels are relative to where they are no sound pressure levels */
  readonly relativeTo?: string;
  /** what is known of the measurement, as text */
  readonly metadata?: Readonly<Record<string, string>>;
  readonly notes: readonly Note[];
}

/** A worked curve with what the word adds, not yet shown. */
export type WorkedParts = Omit<WorkedCurve, "name">;

/** A source with its curve and what it says of itself. */
export interface TakenSource {
  readonly curve: Curve;
  readonly steps: readonly string[];
  readonly notes: readonly Note[];
  readonly relativeTo: string | undefined;
  readonly metadata: Readonly<Record<string, string>> | undefined;
  /** standard deviation of the level as a whole, dB; undefined where not known */
  readonly levelUncertaintyDb: number | undefined;
  /** what was kept of the impulse response, s; undefined without a gate */
  readonly gate: ClosedGate | undefined;
  /** true for a difference of levels */
  readonly isDifference: boolean;
  /** marks of trust at other frequencies in Hz; undefined where nothing is said */
  readonly trustAt: (frequencies: Float64Array) => Uint8Array | undefined;
  /** spread of positions or standard error at other frequencies in Hz, dB; undefined where not known */
  readonly errorAt: (frequencies: Float64Array) => { readonly spreadDb?: Float64Array; readonly standardErrorDb?: Float64Array } | undefined;
}

/**
 * The curve of a thing with its warnings, steps and uncertainty; of a prediction its sound pressure, or its impedance where the other curve is one.
 *
 * @param word  what errors put first, such as "smoothed"
 */
export function takeSource(thing: unknown, word: string, { which = "measurement", like }: { readonly which?: string; readonly like?: Curve | undefined } = {}): TakenSource {
  const curve = curveOf(thing as CurveSource, which, like, word);
  const said = thing as { readonly steps?: unknown; readonly notes?: unknown; readonly relativeTo?: unknown; readonly metadata?: unknown; readonly curve?: unknown; readonly levelUncertaintyDb?: unknown; readonly isDifference?: unknown };
  const isWorked = Array.isArray(said.steps);
  const notes = said.curve === curve && Array.isArray(said.notes) ? (said.notes as readonly Note[]) : [];
  const known = uncertaintyOf(thing, curve);
  const own = (f: Float64Array): boolean => sameNumbers(f, curve.frequencies);
  const isSpread = (thing as { readonly spreadDb?: unknown }).spreadDb instanceof Float64Array;
  return {
    curve,
    steps: isWorked ? (said.steps as readonly string[]) : [],
    // what a word remarks stands where it is shown; its warnings go along
    notes: notes.filter(({ severity }) => severity === "warning"),
    relativeTo: typeof said.relativeTo === "string" ? said.relativeTo : undefined,
    metadata: typeof said.metadata === "object" && said.metadata !== null ? (said.metadata as Readonly<Record<string, string>>) : undefined,
    levelUncertaintyDb: known?.levelErrorDb,
    gate: gateOf(thing),
    isDifference: said.isDifference === true,
    trustAt: (f) => (known?.trusted === undefined ? undefined : own(f) ? known.trusted : trustAt(known, f)),
    errorAt: (f) => {
      if (known?.standardErrorDb === undefined) return undefined;
      const values = own(f) ? known.standardErrorDb : errorAt(known, f);
      return isSpread ? { spreadDb: values } : { standardErrorDb: values };
    },
  };
}

/** Marks of trust of several sources together: trusted where all are; undefined where none says anything; no unit. */
export function commonTrust(sources: readonly TakenSource[], frequencies: Float64Array): Uint8Array | undefined {
  const said = sources.map((source) => source.trustAt(frequencies)).filter((marks) => marks !== undefined);
  return said.length === 0 ? undefined : Uint8Array.from(frequencies, (_, i) => (said.every((marks) => marks[i] === 1) ? 1 : 0));
}

/** What a source says of itself, for a curve on frequencies within its own. */
export function carried(source: TakenSource, curve: Curve): Pick<WorkedParts, "trusted" | "standardErrorDb" | "spreadDb" | "levelUncertaintyDb" | "gate" | "isDifference" | "relativeTo" | "metadata"> {
  const trusted = source.trustAt(curve.frequencies);
  return {
    ...(trusted === undefined ? {} : { trusted }),
    ...source.errorAt(curve.frequencies),
    ...(source.levelUncertaintyDb === undefined ? {} : { levelUncertaintyDb: source.levelUncertaintyDb }),
    ...(source.gate === undefined ? {} : { gate: source.gate }),
    ...(source.isDifference ? { isDifference: true } : {}),
    ...(source.relativeTo === undefined ? {} : { relativeTo: source.relativeTo }),
    ...(source.metadata === undefined ? {} : { metadata: source.metadata }),
  };
}

/** Notes without those that say the same again. */
export function distinctNotes(notes: readonly Note[]): readonly Note[] {
  const seen = new Set<string>();
  return Object.freeze(notes.filter(({ where, text }) => {
    const key = `${where}: ${text}`;
    return seen.has(key) ? false : (seen.add(key), true);
  }));
}

/**
 * A worked curve that shows itself over the curves it was made of, with further members of the word.
 *
 * @param parts    the curve, the steps so far, notes of what was done
 * @param options  title of the figure; curves that are drawn beside; how the trusted span is called; views after the figure; what the word adds
 */
export function makeWorked<T extends object>(parts: WorkedParts, options: { readonly title: string; readonly beside: readonly Curve[]; readonly spanName?: string | undefined; readonly further?: (worked: WorkedCurve) => readonly View[]; readonly extra: T }): WorkedCurve & T & Showable {
  const worked: WorkedCurve & T = { ...options.extra, ...parts, name: parts.curve.name, steps: Object.freeze([...parts.steps]), notes: distinctNotes(parts.notes) };
  return makeShowable(worked, () => [workedFigure(worked, options.title, options), ...(options.further?.(worked) ?? [])], () => workedLine(worked));
}
