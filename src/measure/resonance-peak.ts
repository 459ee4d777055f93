import { InputError } from "../errors.js";
import { type ImpedanceTrace, shortHz } from "./impedance-trace.js";

/** One peak of the magnitude of an impedance. */
export interface Peak {
  /** place in the trace, no unit */
  readonly at: number;
  /** over the higher of the lowest values between it and a higher one on either side, a factor, no unit */
  readonly prominence: number;
}

/** A resonance by the classical method of three frequencies. */
export interface ClassicalResonance {
  /** resonance frequency, Hz */
  readonly fs: number;
  /** below the resonance, Hz, where the magnitude is sqrt(Zmax Re) */
  readonly f1: number;
  /** above the resonance, Hz, where the magnitude is sqrt(Zmax Re) */
  readonly f2: number;
  /** at the resonance, ohm */
  readonly Zmax: number;
  /** lowest magnitude, ohm, which stands for the resistance of the coil */
  readonly Re: number;
  /** mechanical quality factor, no unit */
  readonly Qms: number;
  /** electrical quality factor, no unit */
  readonly Qes: number;
  /** total quality factor, no unit */
  readonly Qts: number;
}

/** A factor, no unit; a smaller hill is noise or no resonance. From common practice, no source. */
const leastProminence = 1.15;

/** Count of points from f1 to f2, no unit; with fewer the top of the peak is not known. From common practice, no source. */
const leastPoints = 5;

/** The peaks of the magnitude inside of the band, most prominent first; hills of noise are left out. */
export function findPeaks({ size }: ImpedanceTrace): readonly Peak[] {
  const found: Peak[] = [], n = size.length;
  for (let i = 1; i < n - 1; i++) {
    const z = size[i]!;
    if (!(z > size[i - 1]! && z >= size[i + 1]!)) continue;
    let left = z, right = z;
    for (let j = i - 1; j >= 0 && size[j]! <= z; j--) left = Math.min(left, size[j]!);
    for (let j = i + 1; j < n && size[j]! <= z; j++) right = Math.min(right, size[j]!);
    const prominence = z / Math.max(left, right);
    if (prominence >= leastProminence) found.push({ at: i, prominence });
  }
  return found.sort((a, b) => b.prominence - a.prominence || a.at - b.at);
}

/**
 * Refuses a phase with the wrong sign: the reactance must be that of an inductance below a resonance and that of a capacitance above it.
 *
 * @param at  place of the peak, no unit
 * @throws InputError  where the phase is known and the other way round
 *
 * Source: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383 (the moving mass is a capacitance, the compliance an inductance).
 */
export function checkPhaseSign({ name, frequencies, im, size, phaseKnown }: ImpedanceTrace, at: number, where: string): void {
  if (!phaseKnown) return;
  // on the flanks, down to half of the peak, where the reactance is large
  let first = at, last = at, right = 0, whole = 0;
  while (first > 0 && size[first - 1]! > size[at]! / 2) first--;
  while (last < size.length - 1 && size[last + 1]! > size[at]! / 2) last++;
  for (let i = first; i <= last; i++) {
    right += im[i]! * Math.sign(at - i);
    whole += Math.abs(im[i]!);
  }
  if (right >= -0.5 * whole || last - first < 2) return;
  throw new InputError({ where, came: `a phase of "${name}" that rises through the peak at ${shortHz(frequencies[at]!)}`, expected: "a phase that falls through a resonance is expected: positive below it, negative above it", hint: "the phase is inverted: change its sign, or exchange the two channels (voltage and current)" });
}

/**
 * Resonance of a driver by the method of three frequencies: r0 = Zmax / Re, |Z| = sqrt(r0) Re at f1 and f2, Qms = fs sqrt(r0) / (f2 - f1), Qes = Qms / (r0 - 1),
 * Qts = Qms / r0; Hz, ohm and no unit.
 *
 * @throws InputError  where the band misses the resonance or a side of it, or the peak has too few points; says what to change
 * @remarks Exact without inductance and noise; a start for the fit.
 *
 * Source: A. N. Thiele, "Loudspeakers in vented boxes", Proc. IRE Australia 22 (1961); R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export function classicalResonance(trace: ImpedanceTrace, where: string): ClassicalResonance {
  const { frequencies, size } = trace, n = size.length;
  const [peak] = findPeaks(trace);
  if (peak === undefined) {
    const isFalling = size[0]! > 1.15 * size[Math.min(n - 1, Math.floor(n / 4))]!;
    throw new InputError({
      where,
      came: `no resonance peak of "${trace.name}" from ${shortHz(frequencies[0]!)} to ${shortHz(frequencies[n - 1]!)}`,
      expected: "a sweep over the whole peak of the driver's resonance is expected",
      hint: isFalling ? `the impedance falls from the lowest frequency on: start at ${shortHz(frequencies[0]! / 4)} or lower` : "start lower and go to ten times the resonance, at close frequencies",
    });
  }
  checkPhaseSign(trace, peak.at, where);
  const Zmax = size[peak.at]!, fs = frequencies[peak.at]!, Re = size.reduce((a, b) => Math.min(a, b));
  const wanted = Math.sqrt(Zmax * Re);
  const f1 = crossing(trace, peak.at, -1, wanted), f2 = crossing(trace, peak.at, 1, wanted);
  if (f1 === undefined || f2 === undefined) {
    const missing = f1 === undefined ? (fs * fs) / (f2 ?? 2 * fs) : (fs * fs) / f1;
    throw new InputError({
      where,
      came: `one side of the resonance at ${shortHz(fs)} is missing in "${trace.name}", which goes from ${shortHz(frequencies[0]!)} to ${shortHz(frequencies[n - 1]!)}`,
      expected: "both flanks of the peak are expected",
      hint: f1 === undefined ? `start at ${shortHz(missing / 2)} or lower` : `go to ${shortHz(missing * 2)} or higher`,
    });
  }
  const inside = frequencies.reduce((sum, f) => sum + (f >= f1 && f <= f2 ? 1 : 0), 0);
  if (inside < leastPoints) {
    throw new InputError({
      where,
      came: `${inside} points of "${trace.name}" on the peak from ${shortHz(f1)} to ${shortHz(f2)}`,
      expected: `${leastPoints} points there at least are expected`,
      hint: `measure every ${shortHz((f2 - f1) / 10)} or closer about the resonance`,
    });
  }
  const r0 = Zmax / Re, Qms = (fs * Math.sqrt(r0)) / (f2 - f1);
  return { fs, f1, f2, Zmax, Re, Qms, Qes: Qms / (r0 - 1), Qts: Qms / r0 };
}

/**
 * Band in which a coil model is fitted where none is asked for, Hz: up to ten times the resonance for a plain inductance, which holds no further in iron; the whole sweep otherwise.
 * From common practice, no source.
 *
 * @param resonance  Hz
 */
export function usualBand(plain: boolean, resonance: number): readonly [number, number] | undefined {
  return plain ? [0, 10 * resonance] : undefined;
}

/** Where the magnitude first falls to a value on one side of a place, Hz, between points on a straight line of the logarithms; undefined where it does not. */
function crossing({ frequencies, size }: ImpedanceTrace, from: number, step: 1 | -1, wanted: number): number | undefined {
  for (let i = from + step; i >= 0 && i < size.length; i += step) {
    if (size[i]! > wanted) continue;
    const j = i - step, part = Math.log(size[j]! / wanted) / Math.log(size[j]! / size[i]!);
    return frequencies[j]! * (frequencies[i]! / frequencies[j]!) ** part;
  }
  return undefined;
}
