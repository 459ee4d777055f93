import type { MotorParameters } from "../driver/parameters.js";
import type { VoiceCoil } from "../driver/voice-coil.js";

/** Kind of voice-coil model that is fitted: an inductance, an inductance with an eddy branch L2 parallel R2, or K (j omega)^n. */
export type CoilKind = "plain" | "eddy branch" | "power law";

/** Where a fit of a voice coil looks. */
export interface CoilRange {
  /** one name a value; their count is that of the values of the model */
  readonly names: readonly string[];
  /** candidates for the start, values as the model takes them: H, logarithms of H and ohm, no unit */
  readonly starts: readonly (readonly number[])[];
  /** least values, H, no unit for logarithms, as in `starts` */
  readonly lower: readonly number[];
  /** greatest values, H, no unit for logarithms, as in `starts` */
  readonly upper: readonly number[];
  /** Hz, at which the size of a power law is a value of the fit, so that size and exponent hardly depend on each other */
  readonly reference: number;
}

/** The voice coil as a driver holds it. */
export type CoilValues = Pick<MotorParameters, "Le" | "coil">;

/**
 * Where to look for the values of a voice coil.
 *
 * @param kind       model
 * @param top        Hz, highest frequency of the sweep
 * @param size       ohm, of what the impedance has beyond Re at the highest frequency
 * @param Re         ohm
 * @param resonance  Hz
 * @remarks Le may come out a little below zero, so that noise about zero stays without bias.
 */
export function coilRange(kind: CoilKind, { top, size, Re, resonance }: { readonly top: number; readonly size: number; readonly Re: number; readonly resonance: number }): CoilRange {
  const reference = Math.sqrt(top * Math.min(top / 1.1, Math.max(3 * resonance, top / 30)));
  const L = size / (2 * Math.PI * top), most = 4 * Math.max(L, (0.02 * Re) / (2 * Math.PI * top));
  if (kind === "plain") return { names: ["Le"], starts: [[L]], lower: [-most / 4], upper: [most], reference };
  if (kind === "eddy branch") {
    const starts: number[][] = [];
    for (const r of [0.3, 1, 3, 10]) for (const l of [0.5, 1.5, 5, 15]) for (const e of [0.2, 0.6]) starts.push([e * L, Math.log(l * L), Math.log(r * Re)]);
    return { names: ["Le", "L2", "R2"], starts, lower: [-most / 4, Math.log(L / 50), Math.log(Re / 50)], upper: [most, Math.log(L * 500), Math.log(Re * 500)], reference };
  }
  const starts = [0.5, 0.6, 0.7, 0.8, 0.9, 1].map((n) => [Math.log(size * (reference / top) ** n), n]);
  const x = Math.log(size * (reference / top) ** 0.75);
  return { names: ["K", "n"], starts, lower: [x - 5, 0.5], upper: [x + 5, 1], reference };
}

/** The values of a fit as a driver holds them, H, ohm, ohm s^n; a negative Le is zero. */
export function coilFromValues(kind: CoilKind, values: ArrayLike<number>, at: number, reference: number): CoilValues {
  if (kind === "plain") return { Le: Math.max(0, values[at]!) };
  if (kind === "eddy branch") return { Le: Math.max(0, values[at]!), coil: { kind: "eddy", L2: Math.exp(values[at + 1]!), R2: Math.exp(values[at + 2]!) } };
  return { Le: 0, coil: { kind: "power law", K: Math.exp(values[at]!) / (2 * Math.PI * reference) ** values[at + 1]!, n: values[at + 1]! } };
}

/** The values of a fit (H, logarithms without unit) from those of a driver; the other way of `coilFromValues`. */
export function valuesFromCoil(kind: CoilKind, { Le, coil }: CoilValues, reference: number): number[] {
  if (kind === "power law" && coil?.kind === "power law") return [Math.log(coil.K) + coil.n * Math.log(2 * Math.PI * reference), coil.n];
  if (kind === "eddy branch" && coil?.kind === "eddy") return [Le, Math.log(coil.L2), Math.log(coil.R2)];
  return [Le];
}

/** Kind of model that the coil of a driver has. */
export function kindOfCoil(coil: VoiceCoil | undefined): CoilKind {
  return coil?.kind === "eddy" ? "eddy branch" : coil?.kind === "power law" ? "power law" : "plain";
}

/**
 * Adds the inductive part of a voice coil to an impedance, ohm, at all frequencies.
 *
 * @param values     of the model, from place `at`
 * @param reference  Hz, see `CoilRange`
 *
 * Source: as `coilImpedance` in driver/voice-coil.ts; written out for many frequencies without an object each.
 */
export function addCoil(kind: CoilKind, values: ArrayLike<number>, at: number, reference: number, frequencies: Float64Array, re: Float64Array, im: Float64Array): void {
  const n = frequencies.length, turn = 2 * Math.PI;
  if (kind === "power law") {
    const exponent = values[at + 1]!, size = Math.exp(values[at]!), c = size * Math.cos((exponent * Math.PI) / 2), s = size * Math.sin((exponent * Math.PI) / 2);
    for (let i = 0; i < n; i++) {
      const p = Math.exp(exponent * Math.log(frequencies[i]! / reference));
      re[i]! += c * p;
      im[i]! += s * p;
    }
    return;
  }
  const Le = values[at]!;
  if (kind === "plain") {
    for (let i = 0; i < n; i++) im[i]! += turn * frequencies[i]! * Le;
    return;
  }
  const L2 = Math.exp(values[at + 1]!), r = Math.exp(values[at + 2]!);
  for (let i = 0; i < n; i++) {
    const omega = turn * frequencies[i]!, x = omega * L2, q = r * r + x * x;
    re[i]! += (r * x * x) / q;
    im[i]! += omega * Le + (r * r * x) / q;
  }
}
