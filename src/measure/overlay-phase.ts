import { InputError } from "../errors.js";
import type { Curve } from "../math/curve.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { type Note, remark, warning } from "../notes.js";
import { coarsePhaseNotes, unwrapMeasured } from "./unwrap.js";

/** Phase and group delay of a measurement against those of a prediction, at the frequencies of an overlay, n values each. */
export interface PhaseOverlay {
  /** measured, without the delay that was taken out, rad, unwrapped */
  readonly measuredPhase: Float64Array;
  /** predicted, rad, unwrapped */
  readonly predictedPhase: Float64Array;
  /** measured, without the delay that was taken out, s */
  readonly measuredDelay: Float64Array;
  /** predicted, s */
  readonly predictedDelay: Float64Array;
  /** delay taken out of the measurement, s; 0 when none was */
  readonly removedDelay: number;
  /** true where the measurement has the opposite sign, and was turned round; false also where its points are too far apart to tell */
  readonly turned: boolean;
  /** root of the mean square of what is left between the phases in the band, rad */
  readonly rmsPhase: number;
  readonly notes: readonly Note[];
}

/**
 * Straight line through a phase (rad): a delay (s) and a sign. The constant is kept at a multiple of half a turn, since a loudspeaker and its microphone differ by a delay and a
 * polarity only.
 *
 * @param difference  rad, unwrapped, n values
 * @param inside      first point that counts and the first one after it, no unit
 *
 * Source: least squares, elementary.
 */
export function delayOf(frequencies: Float64Array, difference: Float64Array, [first, end]: readonly [number, number]): { readonly delay: number; readonly constant: number } {
  let s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (let i = first; i < end; i++) {
    const x = 2 * Math.PI * frequencies[i]!, y = difference[i]!;
    s++;
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  const slope = (s * sxy - sx * sy) / (s * sxx - sx * sx);
  const constant = Math.round((sy - slope * sx) / s / Math.PI) * Math.PI;
  // with the constant fixed the slope is fitted again
  return { delay: -(sxy - constant * sx) / sxx, constant };
}

/** Phase of a curve (rad) at frequencies within it, unwrapped over its own points and straight between them over the logarithm of frequency, n values. */
export function phaseAt(curve: Curve, frequencies: Float64Array): Float64Array {
  // a long delay may turn the phase by more than half a turn between the wanted frequencies, but not between the points of the curve
  return interpolateOverLog({ frequencies: curve.frequencies, values: unwrapMeasured(curve) }, frequencies, { method: "linear" });
}

/**
 * Phase (rad) and group delay (s) of both curves, with the delay of the measurement that fits best in the band taken out, unless the quantity is an impedance.
 *
 * @throws InputError  when the phase of a curve is not known
 */
export function overlayPhase(measured: Curve, predicted: Curve, frequencies: Float64Array, inside: readonly [number, number]): PhaseOverlay {
  for (const curve of [measured, predicted]) {
    if (!curve.phaseKnown) throw new InputError({ where: "overlay.phase", came: `"${curve.name}" without a phase`, expected: "two curves with a known phase are expected", hint: "leave phase out" });
  }
  const notes: Note[] = [...coarsePhaseNotes(measured, unwrapMeasured(measured))];
  // half turns that were missed between two points look like another delay and another sign
  const isFollowed = notes.length === 0;
  const predictedPhase = phaseAt(predicted, frequencies), difference = phaseAt(measured, frequencies).map((x, i) => x - predictedPhase[i]!);
  const isImpedance = measured.quantity === "electrical impedance";
  const turns = Math.round(difference[inside[0]]! / (2 * Math.PI)) * 2 * Math.PI;
  const { delay, constant } = isImpedance ? { delay: 0, constant: turns } : delayOf(frequencies, difference, inside);
  const turned = isFollowed && Math.abs(Math.round(constant / Math.PI)) % 2 === 1;
  const left = difference.map((x, i) => x - constant + 2 * Math.PI * frequencies[i]! * delay);
  const measuredPhase = left.map((x, i) => x + predictedPhase[i]!);
  let square = 0;
  for (let i = inside[0]; i < inside[1]; i++) square += left[i]! ** 2;
  if (!isImpedance) {
    notes.push(remark("phase", `a delay of ${Number((delay * 1e3).toPrecision(4))} ms was taken out of the measured phase, by least squares in the band${turned ? ", and its sign turned round" : ""}`));
    if (turned) notes.push(warning("phase", "the measurement has the opposite sign: plus and minus are exchanged somewhere"));
    if (!isFollowed) notes.push(warning("phase", "neither the delay nor the polarity can be told: measure at closer frequencies, or take most of the delay out before"));
  }
  return Object.freeze({ measuredPhase, predictedPhase, measuredDelay: groupDelay(frequencies, measuredPhase), predictedDelay: groupDelay(frequencies, predictedPhase), removedDelay: delay, turned, rmsPhase: Math.sqrt(square / (inside[1] - inside[0])), notes: Object.freeze(notes) });
}

/** Minus the derivative of a phase (rad) by the angular frequency, s, n values; differences of neighbours, one-sided at the ends. */
function groupDelay(frequencies: Float64Array, phase: Float64Array): Float64Array {
  const last = frequencies.length - 1;
  return phase.map((_, i) => {
    const a = Math.max(0, i - 1), b = Math.min(last, i + 1);
    return -(phase[b]! - phase[a]!) / (2 * Math.PI * (frequencies[b]! - frequencies[a]!));
  });
}
