import { InputError } from "../errors.js";
import { referencePressure } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { type OctaveBand, octaveBands } from "./fractional-octaves.js";
import { type FrequencyWeighting, weightingDb } from "./frequency-weighting.js";
import { makeOctaveIntegral, makePowerIntegral } from "./power-integral.js";
import { powerSpectrum } from "./power-spectrum.js";
import { trustedShare } from "./smoothed-trust.js";

/** Levels in bands of a fraction of an octave. */
export interface BandLevels {
  /** short name for legends, plain text */
  readonly name: string;
  /** bands an octave, no unit */
  readonly parts: number;
  readonly bands: readonly OctaveBand[];
  /** dB re `reference`, one for each band; -Infinity for silence */
  readonly levelDb: Float64Array;
  /** standard deviation of each level by chance for a noise, dB; zero for a curve */
  readonly scatterDb: Float64Array;
  /** of all bands together, dB re `reference`; undefined for a curve, whose bands do not sound together */
  readonly totalDb: number | undefined;
  /** "20 uPa", or what a level of 0 dB is where the sound pressure is not known */
  readonly reference: string;
  readonly weighting: FrequencyWeighting;
  /** 1 where a band is trusted, 0 elsewhere, one for each band, no unit; missing where nothing is said of it */
  readonly trusted?: Uint8Array;
  readonly notes: readonly Note[];
}

/**
 * Marks of trust of bands, no unit: 1 where trusted points of the curve hold at least nine tenths of the power in the band, as after smoothing.
 *
 * @param curve    that the levels are of, n values
 * @param trusted  1 or 0, n values, no unit
 */
export function trustOfBands(bands: readonly OctaveBand[], curve: Curve, trusted: Uint8Array): Uint8Array {
  const { frequencies, re, im } = curve, [low, high] = [Math.log2(frequencies[0]!), Math.log2(frequencies[frequencies.length - 1]!)];
  const whole = makePowerIntegral(curve), sure = makeOctaveIntegral(frequencies, re.map((r, i) => (r ** 2 + im[i]! ** 2) * trusted[i]!));
  return Uint8Array.from(bands, (band) => {
    const from = Math.max(low, Math.log2(band.low)), to = Math.min(high, Math.log2(band.high)), all = whole(from, to);
    return all > 0 && sure(from, to) >= trustedShare * all ? 1 : 0;
  });
}

/** Which bands are wanted. */
export interface BandOptions {
  /** bands an octave: 1, 2, 3, 6, 12 or 24, no unit; 3 when missing */
  readonly parts?: number | undefined;
  /** Hz, from and to, of the middles; all that lie whole in the data when missing */
  readonly range?: readonly [number, number] | undefined;
  /** "Z" when missing */
  readonly weighting?: FrequencyWeighting | undefined;
}

/** Fewest bins of the spectrum in a band for which its level is told, no unit: its edges are then met within 4 %. */
const fewestBins = 6;

/**
 * Level in each band from the response at single frequencies, dB: the mean of the squared magnitude over the band, every part of an octave weighing alike, with the exact edges
 * of the standard. That is the level which noise with equal power in each part of an octave (pink) has in it, when a sine of the same drive has the level of the curve.
 *
 * @throws InputError  when no whole band lies in the curve, or an impedance is given
 *
 * Source: IEC 61260-1:2014 for the bands; the integral in place of its filters is stated in a note.
 */
export function bandLevelsOfCurve(curve: Curve, options: BandOptions = {}): BandLevels {
  const { parts = 3, weighting = "Z" } = options;
  if (curve.quantity === "electrical impedance") throw new InputError({ where: "bandLevels", came: `"${curve.name}", an impedance`, expected: "a sound pressure or a transfer is expected" });
  const [low, high] = [curve.frequencies[0]!, curve.frequencies[curve.frequencies.length - 1]!];
  const bands = wholeBands(parts, options.range, [low, high]);
  const weighted = weighting === "Z" ? curve : { ...curve, re: curve.re.map((x, i) => x * factor(weighting, curve.frequencies[i]!)), im: curve.im.map((x, i) => x * factor(weighting, curve.frequencies[i]!)) };
  const integral = makePowerIntegral(weighted), reference = curve.unit === "Pa" ? referencePressure : 1;
  // an edge that rounding puts outside belongs to the end
  const octave = (f: number): number => Math.log2(Math.min(high, Math.max(low, f)));
  const level = Float64Array.from(bands, (band) => 10 * Math.log10(integral(octave(band.low), octave(band.high)) / (octave(band.high) - octave(band.low)) / reference ** 2));
  const notes: Note[] = [remark(curve.name, `mean of the squared magnitude over each band between the exact edges of IEC 61260-1 (base ten), in place of its filters; every part of an octave weighs alike, so it is the level of pink noise in that band where a sine has the level of the curve${weightText(weighting)}`)];
  const sparse = bands.filter((band) => curve.frequencies.reduce((n, f) => n + (f >= band.low && f <= band.high ? 1 : 0), 0) < 2);
  if (sparse.length > 0) notes.push(warning(curve.name, `the bands ${sparse.slice(0, 6).map(({ nominal }) => nominal).join(", ")} Hz hold fewer than two points: they tell little`));
  return Object.freeze({ name: curve.name, parts, bands, levelDb: level, scatterDb: new Float64Array(bands.length), totalDb: undefined, reference: curve.unit === "Pa" ? "20 uPa" : `1 ${curve.unit}`, weighting, notes: Object.freeze(notes) });
}

/** A channel of samples and what they mean. */
export interface BandSignal {
  /** short name for legends, plain text */
  readonly name: string;
  /** samples of full scale, no unit */
  readonly samples: ArrayLike<number>;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** sound pressure of a sample of 1, Pa; levels are relative to a mean square of 1 when missing */
  readonly pascalPerFullScale?: number | undefined;
}

/**
 * Level in each band of a recorded signal, dB re 20 uPa (re the mean square of a constant 1 without calibration): its power spectrum integrated between the exact edges of the bands.
 *
 * @returns  a generator that yields the part that is done, 0 to 1
 * @throws InputError  when no band can be told from so short a signal, or the calibration is not positive
 * @remarks Bins that an edge cuts count by the part inside. Bands with fewer than six bins are left out, and a note says so. The window moves 1 % of a strong tone's power at an edge.
 *
 * Source: IEC 61260-1:2014 for the bands, P. D. Welch 1967 for the spectrum; the integral in place of filters is stated in a note.
 */
export function* bandLevelsOfSignal(signal: BandSignal, options: BandOptions = {}): Generator<number, BandLevels> {
  const { parts = 3, weighting = "Z" } = options, { name, samples, sampleRate, pascalPerFullScale } = signal;
  if (pascalPerFullScale !== undefined && !(pascalPerFullScale > 0 && Number.isFinite(pascalPerFullScale))) throw new InputError({ where: "bandLevels.calibration", came: `${pascalPerFullScale} Pa per full scale`, expected: "a positive sound pressure is expected" });
  const half = sampleRate / 2, width = (f: number): number => f * (10 ** (0.15 / parts) - 10 ** (-0.15 / parts));
  const lowest = Math.max(options.range?.[0] ?? 10, 1e-3);
  if (samples.length < 16) throw new InputError({ where: "bandLevels", came: `${samples.length} samples of sound`, expected: "16 samples at least are expected" });
  const { power, step, seconds } = yield* powerSpectrum(samples, { sampleRate, binWidth: width(lowest) / fewestBins });
  const wanted = wholeBands(parts, options.range ?? [Math.min(10, half / 2), Math.min(20_000, half)], [step / 2, half]);
  const bands = wanted.filter(({ low, high }) => high - low >= fewestBins * step * (1 - 1e-9));
  if (bands.length === 0) throw new InputError({ where: "bandLevels", came: `${Number((samples.length / sampleRate).toPrecision(3))} s of sound`, expected: `more than ${Number(((fewestBins * 1) / width(wanted[wanted.length - 1]!.middle)).toPrecision(2))} s are expected for its highest band` });
  const scale = pascalPerFullScale === undefined ? 1 : (pascalPerFullScale / referencePressure) ** 2;
  const weight = (k: number): number => (k === 0 ? 0 : factor(weighting, k * step) ** 2);
  const level = new Float64Array(bands.length), scatterDb = new Float64Array(bands.length);
  let total = 0;
  bands.forEach(({ low, high }, b) => {
    const first = Math.max(0, Math.floor(low / step + 0.5)), last = Math.min(power.length - 1, Math.floor(high / step + 0.5));
    let sum = 0;
    for (let k = first; k <= last; k++) sum += power[k]! * weight(k) * Math.max(0, Math.min(high / step, k + 0.5) - Math.max(low / step, k - 0.5));
    level[b] = 10 * Math.log10(sum * scale);
    // a noise in a band of width B heard for T seconds is known by about B T independent values (Bendat and Piersol 2010, chapter 8)
    scatterDb[b] = 10 / Math.LN10 / Math.sqrt(Math.max(1, seconds * (high - low)));
    total += sum * scale;
  });
  const notes: Note[] = [remark(name, `power spectrum (Hann's window, bins of ${Number(step.toPrecision(3))} Hz) integrated between the exact edges of IEC 61260-1 (base ten), in place of its filters${weightText(weighting)}`)];
  if (pascalPerFullScale === undefined) notes.push(warning(name, "without calibration levels are relative to full scale: a sine of full scale has -3.01 dB"));
  const left = wanted.length - bands.length;
  if (left > 0) notes.push(warning(name, `${left} ${left === 1 ? "band" : "bands"} below ${Number(bands[0]!.low.toPrecision(3))} Hz ${left === 1 ? "was" : "were"} left out: ${Number((samples.length / sampleRate).toPrecision(3))} s of sound are too short for them`));
  return Object.freeze({ name, parts, bands: Object.freeze(bands), levelDb: level, scatterDb, totalDb: 10 * Math.log10(total), reference: pascalPerFullScale === undefined ? "full scale" : "20 uPa", weighting, notes: Object.freeze(notes) });
}

/** Bands that lie whole within the data. */
function wholeBands(parts: number, range: readonly [number, number] | undefined, [low, high]: readonly [number, number]): readonly OctaveBand[] {
  const bands = octaveBands(parts, range ?? [low, high]).filter((band) => band.low >= low * (1 - 1e-6) && band.high <= high * (1 + 1e-6));
  if (bands.length === 0) throw new InputError({ where: "bandLevels", came: `data from ${Number(low.toPrecision(4))} to ${Number(high.toPrecision(4))} Hz`, expected: "one whole band at least is expected in it", hint: "ask for narrower bands, or for others" });
  return bands;
}

function factor(weighting: FrequencyWeighting, frequency: number): number {
  return 10 ** (weightingDb(weighting, frequency) / 20);
}

function weightText(weighting: FrequencyWeighting): string {
  return weighting === "Z" ? "" : `; ${weighting}-weighted (IEC 61672-1, annex E)`;
}
