import { InputError } from "../../src/errors.js";
import { type BandLevels, bandLevelsOfCurve, bandLevelsOfSignal, type BandOptions, trustOfBands } from "../../src/measure/band-levels.js";
import type { FrequencyWeighting } from "../../src/measure/frequency-weighting.js";
import type { Recording } from "../../src/measure/recording.js";
import { type Note, remark, warning } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { formatQuantity } from "../quantity.js";
import { progress } from "../show/progress.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { bandFrom, type BandInput, type CurveSource, smoothingFrom } from "./curve-source.js";
import { oneOf, optionalName } from "./names.js";
import { distinctNotes, takeSource } from "./worked-curve.js";
import { frequencyAxis, trustedTraces } from "./worked-figures.js";

/** Which bands of what. */
export interface BandLevelsWords {
  /** "1/3 octave" (when missing), "1 octave", or down to "1/24 octave" */
  readonly bands?: string;
  /** weighting of a sound level meter, "Z" (none) when missing */
  readonly weighting?: FrequencyWeighting;
  /** range of the middles of the bands; all that lie whole in the data (of a recording from 10 Hz to 20 kHz) when missing */
  readonly range?: BandInput;
  /** channel of a recording, 1 for the first (when missing); no unit */
  readonly channel?: number;
  /** of a recording: Pa per full scale as a number, or a level calibration that has it; levels are relative to full scale when missing */
  readonly calibration?: number | { readonly pascalPerFullScale: number };
  /** name for legends; that of the data when missing */
  readonly name?: string;
}

/**
 * Levels in octave or third-octave bands, dB re 20 uPa: of a response (as pink noise would have), or of a recorded sound (by integration of its power spectrum).
 *
 * ```ts
 * await air.bandLevels(recording, { bands: "1/3 octave", weighting: "A", calibration: 7.2 })
 * ```
 *
 * @param source  a recording, or a sweep, response, prediction or curve
 * @throws InputError  when an option is wrong, or no whole band lies in the data
 */
export async function bandLevels(source: Recording | CurveSource, options: BandLevelsWords = {}): Promise<BandLevels & Showable> {
  checkKeys("bandLevels", options, ["bands", "weighting", "range", "channel", "calibration", "name"]);
  const name = optionalName(options.name, "bandLevels.name");
  const chosen: BandOptions = { parts: partsFrom(options.bands ?? "1/3 octave"), weighting: oneOf(options.weighting ?? "Z", ["A", "C", "Z"] as const, "bandLevels.weighting"), range: options.range === undefined ? undefined : bandFrom(options.range, "bandLevels.range") };
  if (chosen.range !== undefined && !(chosen.range[1] >= chosen.range[0])) throw new InputError({ where: "bandLevels.range", came: `${formatQuantity(chosen.range[0], "Hz")} to ${formatQuantity(chosen.range[1], "Hz")}`, expected: "two frequencies in ascending order are expected" });
  if (!isRecording(source)) {
    for (const key of ["channel", "calibration"] as const) if (options[key] !== undefined) throw new InputError({ where: `bandLevels.${key}`, came: `a ${key} for a curve`, expected: "a recording is expected with it" });
    const taken = takeSource(source, "bandLevels", { which: "measurement" });
    const found = bandLevelsOfCurve(name === undefined ? taken.curve : { ...taken.curve, name }, chosen);
    const marks = taken.trustAt(taken.curve.frequencies), trusted = marks === undefined ? undefined : trustOfBands(found.bands, taken.curve, marks);
    const doubted = found.bands.filter((_, b) => trusted?.[b] === 0);
    const said = [
      ...(doubted.length === 0 ? [] : [warning(found.name, `${doubted.length} of ${found.bands.length} bands are not trusted (less than nine tenths of their power lies at trusted frequencies): ${doubted.slice(0, 6).map(({ nominal }) => nominal).join(", ")}${doubted.length > 6 ? " and more" : ""} Hz`)]),
      ...(taken.errorAt(taken.curve.frequencies) === undefined ? [] : [remark(found.name, "the uncertainty of the curve was not carried over: that of a band lies between it (errors alike over the band) and nothing (independent ones)")]),
    ];
    return shown({ ...found, ...(trusted === undefined ? {} : { trusted }), reference: taken.relativeTo ?? found.reference, notes: distinctNotes([...said, ...found.notes, ...taken.notes]) });
  }
  if (source.channels.length === 0) throw new InputError({ where: "bandLevels", came: "a recording without channels", expected: "one channel at least is expected" });
  const channel = options.channel ?? 1;
  if (!(Number.isInteger(channel) && channel >= 1 && channel <= source.channels.length)) throw new InputError({ where: "bandLevels.channel", came: shownValue(channel), expected: source.channels.length === 1 ? "channel 1 is expected, the only one" : `a channel from 1 to ${source.channels.length} is expected` });
  const { calibration } = options;
  const pascalPerFullScale = typeof calibration === "object" && calibration !== null ? calibration.pascalPerFullScale : calibration;
  if (pascalPerFullScale !== undefined && typeof pascalPerFullScale !== "number") throw new InputError({ where: "bandLevels.calibration", came: shownValue(calibration), expected: "a sound pressure per full scale in Pa, or a level calibration, is expected" });
  const { notes } = source as { readonly notes?: unknown }, before = Array.isArray(notes) ? (notes as readonly Note[]).filter(({ severity }) => severity === "warning") : [];
  const steps = bandLevelsOfSignal({ name: name ?? source.name, samples: source.channels[channel - 1]!, sampleRate: source.sampleRate, pascalPerFullScale }, chosen);
  const bar = progress(`band levels of ${name ?? source.name}`, 100);
  try {
    for (;;) {
      const next = steps.next();
      if (next.done === true) return shown({ ...next.value, notes: distinctNotes([...next.value.notes, ...before]) });
      await bar.step(Math.round(100 * next.value));
    }
  } finally {
    bar.done();
  }
}

function isRecording(source: unknown): source is Recording {
  return typeof source === "object" && source !== null && Array.isArray((source as { readonly channels?: unknown }).channels) && typeof (source as { readonly sampleRate?: unknown }).sampleRate === "number";
}

function partsFrom(value: string): number {
  const width = smoothingFrom(value, "bandLevels.bands", { none: "refused" })!, parts = Math.round(1 / width);
  if (Math.abs(parts * width - 1) > 1e-9 || ![1, 2, 3, 6, 12, 24].includes(parts)) throw new InputError({ where: "bandLevels.bands", came: shownValue(value), expected: '"1 octave", "1/2 octave", "1/3 octave", "1/6 octave", "1/12 octave" or "1/24 octave" is expected' });
  return parts;
}

function shown(levels: BandLevels): BandLevels & Showable {
  const title = `${levels.name}: levels in ${levels.parts === 1 ? "octave" : `1/${levels.parts} octave`} bands${levels.weighting === "Z" ? "" : `, ${levels.weighting}-weighted`}`;
  const total = levels.totalDb === undefined ? "" : `; together ${levelText(levels.totalDb)} re ${levels.reference}`;
  return makeShowable(levels, () => [bandFigure(levels, title), bandTable(levels, title)], () => `${title}: ${levels.bands.length} bands from ${formatQuantity(levels.bands[0]!.nominal, "Hz")} to ${formatQuantity(levels.bands[levels.bands.length - 1]!.nominal, "Hz")}${total}`);
}

/** Each band as a level stretch between its edges. */
function bandFigure(levels: BandLevels, title: string): Figure {
  const count = levels.bands.length, x = new Float64Array(2 * count), y = new Float64Array(2 * count);
  levels.bands.forEach(({ low, high }, b) => {
    x[2 * b] = low;
    x[2 * b + 1] = high * (1 - 1e-9); // the next band starts there
    y[2 * b] = y[2 * b + 1] = Number.isFinite(levels.levelDb[b]!) ? levels.levelDb[b]! : NaN;
  });
  return {
    kind: "figure", title, x: frequencyAxis,
    subtitle: levels.totalDb === undefined ? "" : `together ${levelText(levels.totalDb)} re ${levels.reference}`,
    panels: [{ quantity: levels.reference === "20 uPa" ? "band level" : "relative band level", unit: `dB re ${levels.reference}`, traces: trustedTraces(levels.name, x, y, levels.trusted === undefined ? undefined : Uint8Array.from(x, (_, i) => levels.trusted![i >> 1]!)) }],
    notes: levels.notes,
  };
}

function bandTable(levels: BandLevels, title: string): Table {
  const { trusted } = levels, doubts = trusted?.includes(0) === true;
  const scatters = levels.scatterDb.some((s) => s > 0);
  return {
    kind: "table", title,
    columns: ["band", "from", "to", `level re ${levels.reference}`, ...(scatters ? ["chance (one standard deviation)"] : []), ...(doubts ? ["trusted"] : [])],
    rows: [
      ...levels.bands.map(({ nominal, low, high }, b) => [formatQuantity(nominal, "Hz", 4), formatQuantity(low, "Hz", 4), formatQuantity(high, "Hz", 4), levelText(levels.levelDb[b]!), ...(scatters ? [`${levels.scatterDb[b]!.toFixed(2)} dB`] : []), ...(doubts ? [trusted[b] === 1 ? "yes" : "no"] : [])]),
      ...(levels.totalDb === undefined ? [] : [["all", "", "", levelText(levels.totalDb), ...(scatters ? [""] : [])]]),
    ],
  };
}

function levelText(db: number): string {
  return Number.isFinite(db) ? `${db.toFixed(2)} dB` : "no signal";
}
