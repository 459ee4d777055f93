import { InputError } from "../errors.js";
import { levelDb, makeCurve, referencePressure } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { interpolateOverLog } from "../math/interpolate.js";
import type { InterpolationMethod } from "../math/interpolate.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { coarsePhaseNotes, unwrapMeasured } from "./unwrap.js";

/** How a curve is brought to other frequencies. */
export interface ResampleOptions {
  /** "linear" when missing */
  readonly method?: InterpolationMethod;
  /** frequencies outside the curve: "refuse" (when missing) or "clip", which leaves them out and says so */
  readonly outside?: "refuse" | "clip";
}

/** A curve at other frequencies, with what was done. */
export interface Resampled {
  readonly curve: Curve;
  readonly notes: readonly Note[];
}

/**
 * A curve at other frequencies, in its own unit: level in dB and unwrapped phase are interpolated over the logarithm
 * of frequency, with the method named in a note.
 *
 * @param frequencies  Hz, ascending, all different, m values
 * @throws InputError  when a frequency leaves the range of the curve (unless clipped), or the curve has a magnitude of zero
 */
export function resample(curve: Curve, frequencies: Float64Array, options: ResampleOptions = {}): Resampled {
  const { method = "linear", outside = "refuse" } = options;
  const notes: Note[] = [];
  const low = curve.frequencies[0]!;
  const high = curve.frequencies[curve.frequencies.length - 1]!;
  const inside = frequencies.filter((f) => f >= low && f <= high);
  if (inside.length < frequencies.length) {
    const range = `${rounded(low)} to ${rounded(high)} Hz`;
    if (outside === "refuse" || inside.length === 0) {
      throw new InputError({
        where: curve.name,
        came: `${frequencies.length - inside.length} of ${frequencies.length} frequencies lie outside the data`,
        expected: `frequencies from ${range} are expected`,
      });
    }
    notes.push(remark(curve.name, `${frequencies.length - inside.length} of ${frequencies.length} frequencies lie outside the data (${range}) and were left out`));
  }
  const level = levelDb(curve);
  const zero = level.findIndex((value) => !Number.isFinite(value));
  if (zero >= 0) {
    throw new InputError({ where: curve.name, came: `a magnitude of zero at ${rounded(curve.frequencies[zero]!)} Hz`, expected: "a magnitude above zero is expected, it has no level in dB" });
  }
  const newLevel = interpolateOverLog({ frequencies: curve.frequencies, values: level }, inside, { method });
  const re = new Float64Array(inside.length);
  const im = new Float64Array(inside.length);
  const reference = curve.unit === "Pa" ? referencePressure : 1;
  let newPhase: Float64Array | undefined;
  if (curve.phaseKnown) {
    const phase = unwrapMeasured(curve);
    newPhase = interpolateOverLog({ frequencies: curve.frequencies, values: phase }, inside, { method });
    notes.push(...coarsePhaseNotes(curve, phase));
  }
  for (let i = 0; i < re.length; i++) {
    const size = reference * 10 ** (newLevel[i]! / 20);
    re[i] = newPhase === undefined ? size : size * Math.cos(newPhase[i]!);
    im[i] = newPhase === undefined ? 0 : size * Math.sin(newPhase[i]!);
  }
  const what = curve.phaseKnown ? "level in dB and unwrapped phase" : "level in dB";
  notes.unshift(remark(curve.name, `${inside.length} frequencies from ${curve.frequencies.length} points, ${what} interpolated over the logarithm of frequency (${method})`));
  return { curve: makeCurve({ ...curve, frequencies: inside, re, im }), notes };
}

function rounded(value: number): number {
  return Number(value.toPrecision(4));
}
