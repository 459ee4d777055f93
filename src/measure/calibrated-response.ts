import { InputError } from "../errors.js";
import { type Curve, levelDb, makeCurve } from "../math/curve.js";
import { makeFourier, powerOfTwoAbove } from "../math/fft.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { logGrid } from "../math/log-grid.js";
import { type Note, remark, warning } from "../notes.js";
import { applyCorrection } from "./calibrate.js";
import { type ImpulseResponse, makeImpulseResponse } from "./impulse-response.js";
import { curveOfImpulse } from "./impulse-spectrum.js";
import { coarsePhaseNotes, unwrapMeasured } from "./unwrap.js";

/** What a response is freed of, and what it is scaled by. */
export interface CalibrationSteps {
  /** deviation of the microphone from flat as a ratio; none when missing */
  readonly microphone?: Curve | undefined;
  /** Pa for a recorded sample of full scale (1); no absolute level when missing */
  readonly pascalPerFullScale?: number | undefined;
  /** RMS of the sine that was played, full scale 1, no unit; needed for absolute levels of a transfer */
  readonly playedRms?: number | undefined;
  /** response of the sound card, recorded over played full scale by a wire; divided by */
  readonly soundCard?: Curve | ImpulseResponse | undefined;
  /** dB below its largest level to which the response of the sound card is divided by; 40 when missing */
  readonly floorDb?: number | undefined;
  /** wanted drive over that of the measurement, no unit; 1 when missing */
  readonly driveFactor?: number | undefined;
}

/** A response with its calibration, and what was done. */
export interface CalibratedResponse {
  readonly curve: Curve;
  /** 1 where the division by the sound card was held at its floor, n values, no unit */
  readonly limited: Uint8Array;
  readonly notes: readonly Note[];
}

interface Factor {
  /** no unit, or Pa, n values */
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly limited: Uint8Array;
}

/**
 * A measured response freed of the microphone and the sound card, in Pa (RMS, at the drive) where full scale is known in Pa.
 *
 * @throws InputError  when the steps do not fit to what was measured: Pa per full scale for a curve that has Pa, or without the level that was played
 * @remarks Recorded over played full scale times the RMS that was played times Pa per full scale is the sound pressure.
 */
export function calibrateCurve(curve: Curve, steps: CalibrationSteps): CalibratedResponse {
  const scale = scaleOf(curve, steps);
  const { factor, notes } = factorAt(curve.frequencies, steps, curve.name);
  const { re, im } = multiplied(curve, factor, scale.factor);
  const made = makeCurve({ ...curve, quantity: scale.isPressure ? "sound pressure" : curve.quantity, unit: scale.isPressure ? "Pa" : curve.unit, re, im });
  return { curve: curve.phaseKnown ? made : magnitudeOnly(made), limited: factor.limited, notes: [...scale.notes, ...notes, ...limitedNotes(curve.frequencies, factor.limited, steps, curve.name)] };
}

/** A curve without phase stays without: a complex factor changes only its magnitude. */
function magnitudeOnly(curve: Curve): Curve {
  return makeCurve({ ...curve, re: curve.re.map((x, i) => Math.hypot(x, curve.im[i]!)), im: new Float64Array(curve.re.length) });
}

/**
 * An impulse response freed of the microphone and the sound card, in Pa (RMS, at the drive) where full scale is known in Pa.
 *
 * @throws InputError  as `calibrateCurve` does, and for more than two million samples
 * @remarks Multiplied in frequency; a twentieth of a second before and after it is added for what the filters ring. A microphone whose phase is not known is taken out of the magnitude alone.
 */
export function calibrateImpulse(response: ImpulseResponse, steps: CalibrationSteps): ImpulseResponse {
  const { samples, sampleRate, name, zeroIndex, band } = response;
  const scale = scaleOf(response, steps);
  const done = { ...response, quantity: scale.isPressure ? ("sound pressure" as const) : response.quantity, unit: scale.isPressure ? ("Pa" as const) : response.unit };
  if (steps.microphone === undefined && steps.soundCard === undefined) {
    return makeImpulseResponse({ ...done, samples: samples.map((x) => x * scale.factor), notes: [...response.notes, ...scale.notes] });
  }
  const pad = Math.ceil(0.05 * sampleRate), size = powerOfTwoAbove(2 * (samples.length + 2 * pad));
  if (size > 4_194_304) throw new InputError({ where: name, came: `${samples.length} samples`, expected: "at most two million are calibrated", hint: "give impulseFrom a shorter window" });
  const fourier = makeFourier(size), re = new Float64Array(size), im = new Float64Array(size);
  re.set(samples, pad);
  fourier.forward(re, im);
  const grid = Float64Array.from({ length: size / 2 }, (_, k) => ((k + 1) * sampleRate) / size);
  const { factor } = factorAt(grid, steps, name, size);
  re[0]! *= factor.re[0]! * scale.factor;
  for (let k = 1; k <= size / 2; k++) {
    const a = factor.re[k - 1]! * scale.factor, b = factor.im[k - 1]! * scale.factor, x = re[k]!, y = im[k]!;
    re[k] = x * a - y * b;
    im[k] = k === size / 2 ? 0 : x * b + y * a;
    if (k < size / 2) [re[size - k], im[size - k]] = [re[k]!, -im[k]!];
  }
  fourier.inverse(re, im);
  const seen = logGrid(band[0], Math.min(band[1], sampleRate / 2), 200);
  const { factor: inBand, notes } = factorAt(seen, steps, name);
  const phaseless = steps.microphone !== undefined && !steps.microphone.phaseKnown ? [remark(name, `the phase of "${steps.microphone.name}" is not known; only its magnitude was taken out`)] : [];
  return makeImpulseResponse({ ...done, samples: re.slice(0, samples.length + 2 * pad), zeroIndex: zeroIndex + pad, notes: [...response.notes, ...scale.notes, ...notes, ...phaseless, ...limitedNotes(seen, inBand.limited, steps, name)] });
}

/** The real factor of level and drive, and whether what comes out is a sound pressure. */
function scaleOf({ name, quantity, unit }: Pick<Curve, "name" | "quantity" | "unit">, steps: CalibrationSteps): { factor: number; isPressure: boolean; notes: readonly Note[] } {
  const { pascalPerFullScale, playedRms, driveFactor = 1 } = steps;
  if (quantity !== "transfer" && quantity !== "sound pressure") throw new InputError({ where: name, came: `a response of ${quantity}`, expected: "a transfer (recorded over played) or a sound pressure is expected" });
  if (!(driveFactor > 0 && Number.isFinite(driveFactor))) throw new InputError({ where: name, came: `a drive factor of ${driveFactor}`, expected: "a factor above zero is expected" });
  const drive = driveFactor === 1 ? [] : [remark(name, `scaled by ${Number((20 * Math.log10(driveFactor)).toPrecision(4))} dB from the drive of the measurement to the wanted one, which only a linear system follows`)];
  if (quantity === "sound pressure") {
    if (pascalPerFullScale !== undefined || steps.soundCard !== undefined) throw new InputError({ where: name, came: "a level or a sound card for a response that is in Pa already", expected: "a transfer, recorded over played full scale, is expected" });
    return { factor: driveFactor, isPressure: unit === "Pa", notes: drive };
  }
  if (pascalPerFullScale === undefined) {
    if (playedRms !== undefined || driveFactor !== 1) throw new InputError({ where: name, came: "a drive without a level calibration", expected: "both, or neither, are expected", hint: "give level: from levelCalibration, or the sensitivity of the microphone" });
    return { factor: 1, isPressure: false, notes: [] };
  }
  if (playedRms === undefined) throw new InputError({ where: name, came: "a level calibration without the level that was played", expected: "the test signal, or its level, is expected", hint: 'say drive: { signal: sweep, voltage: "2.83 V" }' });
  if (!(pascalPerFullScale > 0 && playedRms > 0 && Number.isFinite(pascalPerFullScale * playedRms))) throw new InputError({ where: name, came: `${pascalPerFullScale} Pa at full scale and a played level of ${playedRms}`, expected: "values above zero are expected" });
  return { factor: pascalPerFullScale * playedRms * driveFactor, isPressure: true, notes: drive };
}

function factorAt(frequencies: Float64Array, steps: CalibrationSteps, name: string, size?: number): { factor: Factor; notes: readonly Note[] } {
  const n = frequencies.length, notes: Note[] = [];
  let re: Float64Array = new Float64Array(n).fill(1), im: Float64Array = new Float64Array(n);
  const limited = new Uint8Array(n);
  if (steps.microphone !== undefined) {
    const flat = makeCurve({ name, quantity: "correction", unit: "ratio", frequencies, re, im, phaseKnown: true });
    const corrected = applyCorrection(flat, steps.microphone);
    ({ re, im } = corrected.curve);
    notes.push(...corrected.notes);
  }
  if (steps.soundCard !== undefined) {
    const card = cardAt(frequencies, steps.soundCard, size, name);
    notes.push(...card.notes);
    const sizes = card.re.map((x, i) => Math.hypot(x, card.im[i]!)), top = card.top, floor = top * 10 ** (-(steps.floorDb ?? 40) / 20);
    if (!(top > 0)) throw new InputError({ where: name, came: "a response of the sound card that is zero", expected: "a loop-back measured through a wire is expected" });
    const [outRe, outIm] = [new Float64Array(n), new Float64Array(n)];
    for (let i = 0; i < n; i++) {
      const held = sizes[i]! < floor;
      if (held) limited[i] = 1;
      // below the floor the size is held and the phase goes on
      const [c, d] = sizes[i]! > 0 ? [card.re[i]! / sizes[i]!, card.im[i]! / sizes[i]!] : [1, 0], by = held ? floor : sizes[i]!;
      outRe[i] = (re[i]! * c + im[i]! * d) / by;
      outIm[i] = (im[i]! * c - re[i]! * d) / by;
    }
    [re, im] = [outRe, outIm];
    notes.push(remark(name, `divided by the sound card "${steps.soundCard.name}", not further than ${steps.floorDb ?? 40} dB below its largest level`));
  }
  return { factor: { re, im, limited }, notes };
}

/** The response of the sound card at frequencies in Hz, and its largest magnitude. */
function cardAt(frequencies: Float64Array, card: Curve | ImpulseResponse, size: number | undefined, name: string): { re: Float64Array; im: Float64Array; top: number; notes: readonly Note[] } {
  const wrong = card.quantity !== "transfer" && card.quantity !== "correction";
  if (wrong) throw new InputError({ where: name, came: `a sound card with a response of ${card.quantity}`, expected: "a loop-back measured as a transfer is expected" });
  const isImpulse = "samples" in card;
  const curve = isImpulse ? curveOfImpulse(card, logGrid(card.band[0], Math.min(card.band[1], card.sampleRate / 2), 600)).curve : card;
  const top = Math.max(...curve.re.map((x, i) => Math.hypot(x, curve.im[i]!)));
  if (isImpulse && size === undefined && frequencies.at(-1)! <= card.sampleRate / 2) {
    const { re, im } = curveOfImpulse(card, frequencies).curve;
    return { re, im, top, notes: outside(frequencies, card.band, name) };
  }
  if (!curve.phaseKnown) throw new InputError({ where: name, came: `the sound card "${card.name}" without its phase`, expected: "a complex response is expected" });
  const db = levelDb(curve).map((x) => Math.max(x, -400)), phase = unwrapMeasured(curve);
  const level = interpolateOverLog({ frequencies: curve.frequencies, values: db }, frequencies, { outside: "hold" });
  const angle = interpolateOverLog({ frequencies: curve.frequencies, values: phase }, frequencies, { outside: "hold" });
  const range = [curve.frequencies[0]!, curve.frequencies.at(-1)!] as const;
  return {
    re: level.map((x, i) => 10 ** (x / 20) * Math.cos(angle[i]!)),
    im: level.map((x, i) => 10 ** (x / 20) * Math.sin(angle[i]!)),
    top,
    notes: [...coarsePhaseNotes(curve, phase), ...outside(frequencies, range, name)],
  };
}

function outside(frequencies: Float64Array, [low, high]: readonly [number, number], name: string): readonly Note[] {
  const r = (x: number): number => Number(x.toPrecision(4));
  const first = frequencies[0]!, last = frequencies.at(-1)!;
  return [
    ...(first < low * (1 - 1e-9) ? [warning(name, `below ${r(low)} Hz the sound card was not measured`)] : []),
    ...(last > high * (1 + 1e-9) ? [warning(name, `above ${r(high)} Hz the sound card was not measured`)] : []),
  ];
}

function multiplied(curve: Curve, factor: Factor, scale: number): { re: Float64Array; im: Float64Array } {
  return {
    re: curve.re.map((x, i) => (x * factor.re[i]! - curve.im[i]! * factor.im[i]!) * scale),
    im: curve.re.map((x, i) => (x * factor.im[i]! + curve.im[i]! * factor.re[i]!) * scale),
  };
}

function limitedNotes(frequencies: Float64Array, limited: Uint8Array, steps: CalibrationSteps, name: string): readonly Note[] {
  const ranges: string[] = [];
  for (let i = 0; i < limited.length; i++) {
    if (limited[i] === 0) continue;
    const from = i;
    while (i + 1 < limited.length && limited[i + 1] === 1) i++;
    ranges.push(`${Number(frequencies[from]!.toPrecision(3))} to ${Number(frequencies[i]!.toPrecision(3))} Hz`);
  }
  if (ranges.length === 0) return [];
  return [warning(name, `the sound card is more than ${steps.floorDb ?? 40} dB below its largest level from ${ranges.slice(0, 4).join(", ")}${ranges.length > 4 ? " and elsewhere" : ""}: the response is not corrected in full there`)];
}
