import { FileError } from "../errors.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";

/** What the column beside the samples counts. */
export type TimeUnit = "s" | "ms" | "us" | "samples";

/** Seconds in one unit of time, no unit for samples. */
const seconds: Readonly<Record<Exclude<TimeUnit, "samples">, number>> = { s: 1, ms: 1e-3, us: 1e-6 };

const timeWords = new Set("time zeit temps tiempo tempo tijd t".split(" "));
const sampleWords = new Set("sample samples index n nr no number abtastwert abtastwerte echantillon muestra campione monster amostra".split(" "));
const unitWords: Readonly<Record<string, TimeUnit>> = { s: "s", sec: "s", secs: "s", second: "s", seconds: "s", sekunde: "s", sekunden: "s", ms: "ms", msec: "ms", millisecond: "ms", milliseconds: "ms", us: "us", usec: "us", microseconds: "us", samples: "samples", sample: "samples" };

/** Rates that sound is sampled at, Hz. Common practice, no source. */
const usualRates: readonly number[] = [8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000, 64000, 88200, 96000, 128000, 176400, 192000, 352800, 384000];

/** Time or sample number, and its unit where the heading tells it; undefined for any other heading. No unit. */
export function timeHeading(heading: string): { readonly unit: TimeUnit | undefined } | undefined {
  const plain = heading.slice(0, 200).normalize("NFD").replace(/[\u0300-\u036f]/g, "").replace(/[\u00b5\u03bc]/g, "u").toLowerCase();
  const tokens = plain.split(/[^\p{L}\p{N}]+/u).filter((token) => token !== "");
  const unit = tokens.slice(tokens.length > 1 ? 1 : 0).map((token) => unitWords[token]).find((found) => found !== undefined);
  if (tokens.some((token) => /rate|value|frequen|amplitud/.test(token))) return undefined;
  if (tokens.some((token) => timeWords.has(token))) return { unit };
  if (tokens.length <= 2 && sampleWords.has(tokens[0] ?? "")) return { unit: unit ?? "samples" };
  return tokens.length === 1 && unit !== undefined ? { unit } : undefined;
}

/** Sample rate that "key: value" lines tell, Hz; undefined where none does. */
export function statedRate(metadata: Readonly<Record<string, string>>): { readonly rate: number; readonly key: string } | undefined {
  for (const [key, text] of Object.entries(metadata)) {
    const bracket = /^(.*?)\s*[([]\s*(k?hz)\s*[)\]]\s*$/i.exec(key);
    const name = (bracket?.[1] ?? key).trim().toLowerCase().replace(/[\s_-]+/g, " ");
    if (!/^(?:sample ?rate|sampling ?(?:rate|frequency)|sample ?frequency|abtast ?(?:rate|frequenz)|fs|rate|samples (?:a|per) second)$/.test(name)) continue;
    const value = /^([\d.,]+(?:[eE][+]?\d+)?)\s*(k?hz|1\/s|samples\/s)?$/i.exec(text.trim());
    if (value === null || /[.,]\d{3}$/.test(value[1]!) && !/k/i.test(value[2] ?? bracket?.[2] ?? "")) continue;
    const rate = Number(value[1]!.replace(",", ".")) * (/^k/i.test(value[2] ?? bracket?.[2] ?? "") ? 1000 : 1);
    if (rate > 0 && Number.isFinite(rate)) return { rate, key };
  }
  return undefined;
}

/** What a column of times says. */
export interface TimeAxis {
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** place of time zero among the samples, not always whole; no unit */
  readonly zeroIndex: number;
  readonly notes: readonly Note[];
}

/** A column of times with what is known beside it. */
interface TimesToRead {
  readonly file: string;
  /** in the unit of the file, one a sample */
  readonly times: Float64Array;
  /** line of the file for each */
  readonly rows: Int32Array;
  readonly unit: TimeUnit | undefined;
  /** heading of the column; undefined without headings */
  readonly heading: string | undefined;
  /** Hz, what the caller says */
  readonly wanted: number | undefined;
  /** Hz, what the file says besides */
  readonly stated: { readonly rate: number; readonly key: string } | undefined;
}

/**
 * Sample rate (Hz) and time zero from a column of evenly spaced times or sample numbers.
 *
 * @throws FileError  when the steps are not even, the unit cannot be told, or the rate contradicts what the caller or the file says
 */
export function readTimes(came: TimesToRead): TimeAxis {
  const { file, times, rows, wanted, stated, heading } = came;
  const field = heading === undefined ? {} : { field: heading };
  const count = times.length, step = (times[count - 1]! - times[0]!) / (count - 1);
  if (!(step > 0 && Number.isFinite(step))) throw new FileError({ file, ...field, came: "times that do not ascend", expected: "ascending times or sample numbers are expected" });
  const usual = Float64Array.from({ length: count - 1 }, (_, i) => times[i + 1]! - times[i]!).sort()[(count - 1) >> 1]!;
  let worst = 0;
  for (let i = 0; i < count; i++) {
    const off = Math.abs(times[i]! - times[0]! - i * step) / step;
    if (off > 0.45 || (i > 0 && Math.abs(times[i]! - times[i - 1]! - usual) > 0.6 * usual)) throw new FileError({ file, row: rows[i]!, ...field, came: `${times[i]!}, ${i === 0 ? "" : ` after ${times[i - 1]!}`}, where even steps are ${Number(usual.toPrecision(6))}`, expected: "evenly spaced samples are expected", hint: "a sample is missing, or the times are rounded too far" });
    worst = Math.max(worst, off);
  }
  const notes: Note[] = [];
  const unit = came.unit ?? guessUnit(came, step, notes);
  if (unit === "samples") {
    if (Math.abs(step - 1) > 1e-9) throw new FileError({ file, ...field, came: `sample numbers in steps of ${step}`, expected: "steps of one are expected" });
    const rate = wanted ?? stated?.rate;
    if (rate === undefined) throw new FileError({ file, came: "sample numbers without a sample rate", expected: "the sample rate is expected", hint: 'say sampleRate: "48 kHz"' });
    return { sampleRate: rate, zeroIndex: times[0] === 1 ? 0 : -times[0]!, notes };
  }
  let sampleRate = 1 / (step * seconds[unit]);
  // times are rounded: the rate is known as well as the two ends are
  const slack = Math.max(1e-6, (2 * worst) / (count - 1), count < 200 ? 0.002 : 0);
  const near = [wanted, stated?.rate, ...usualRates].find((rate) => rate !== undefined && Math.abs(sampleRate / rate - 1) <= slack);
  for (const [told, who] of [[wanted, "sampleRate"], [stated?.rate, `"${stated?.key ?? ""}" in the file`]] as const) {
    if (told === undefined || Math.abs(sampleRate / told - 1) <= slack) continue;
    if (who !== "sampleRate" && wanted !== undefined) continue;
    throw new FileError({ file, ...field, came: `times in steps of ${Number((step * seconds[unit] * 1e6).toPrecision(5))} us, ${Number(sampleRate.toPrecision(6))} samples a second`, expected: `${Number(told.toPrecision(8))} are expected as ${who} says`, hint: who === "sampleRate" ? "leave sampleRate out, or correct it" : "say the right one: sampleRate" });
  }
  if (near !== undefined && near !== sampleRate) {
    if (Math.abs(sampleRate / near - 1) > 1e-9) notes.push(remark(file, `the times give ${Number(sampleRate.toPrecision(7))} samples a second; ${near} were taken, within the rounding of the times`));
    sampleRate = near;
  } else if (Math.abs(sampleRate - Math.round(sampleRate)) < 1e-9 * sampleRate) sampleRate = Math.round(sampleRate);
  return { sampleRate, zeroIndex: wholeWhereNear(-times[0]! * seconds[unit] * sampleRate), notes };
}

/** A place that is whole but for the rounding of the times. */
function wholeWhereNear(place: number): number {
  const whole = Math.round(place);
  return Math.abs(place - whole) < 1e-3 + 1e-6 * Math.abs(place) ? whole || 0 : place;
}

/** The one unit under which the rate is between 2 and 400 kHz, or agrees with what is told. */
function guessUnit({ file, wanted, stated, times }: TimesToRead, step: number, notes: Note[]): TimeUnit {
  const told = wanted ?? stated?.rate;
  if (Math.abs(step - 1) < 1e-9 && Number.isInteger(times[0]!)) {
    notes.push(remark(file, "the column beside the samples counts by one: taken as sample numbers"));
    return "samples";
  }
  const fits = (["s", "ms", "us"] as const).filter((unit) => {
    const rate = 1 / (step * seconds[unit]);
    return told === undefined ? rate >= 2000 && rate <= 400_000 : Math.abs(rate / told - 1) < 0.01;
  });
  if (fits.length !== 1) throw new FileError({ file, came: `times without a unit, in steps of ${Number(step.toPrecision(5))}`, expected: 'a heading with the unit is expected, such as "time (ms)"', hint: "or say sampleRate" });
  notes.push(warning(file, `the times have no unit; ${fits[0]!} were taken, the only one with ${told === undefined ? "a usual sample rate" : "the sample rate that is told"}`));
  return fits[0]!;
}
