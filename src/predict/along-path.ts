import { areaAlong, cascadeChain, compileDuct, type CompiledDuct } from "../acoustics/cascade.js";
import type { DuctElement, Section } from "../acoustics/network.js";
import type { NetworkSolution } from "../acoustics/solve.js";
import { InputError } from "../errors.js";
import { dampedStates, isDamped } from "./damped-duct.js";
import { ductLength, type DuctRun, ductRuns } from "./duct-runs.js";
import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** Where the sound in a path is looked at. */
export interface AlongPathOptions {
  /** Hz, ascending, n values; those of the prediction when missing */
  readonly frequencies?: Float64Array;
  /** largest distance of two places, m; a fortieth of the shortest wavelength, and a hundredth of the path at most, when missing */
  readonly step?: number;
  /** name of a duct of the way wanted; the longest way of the network when missing */
  readonly duct?: string;
}

/** A node of the network on the way, or an edge of a fill. */
export interface PathMark {
  /** name of the node; "edge of the fill" or "change of fill" where that is one */
  readonly name: string;
  /** m from the start */
  readonly at: number;
}

/** Pressure and flow in a path at every place and frequency; RMS, e^{+jwt}; m places, n frequencies. */
export interface PathField {
  /** names of its ducts */
  readonly name: string;
  /** m from the start, ascending, m values; two places at one distance are the two sides of a step, a tap or a lumped element */
  readonly distance: Float64Array;
  /** cross-section, m^2, m values */
  readonly area: Float64Array;
  readonly marks: readonly PathMark[];
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** real part, Pa; place i at frequency f stands at i * n + f */
  readonly pressureRe: Float64Array;
  /** imaginary part, Pa */
  readonly pressureIm: Float64Array;
  /** volume velocity away from the start, real part, m^3/s; the velocity of the air is this over `area` */
  readonly flowRe: Float64Array;
  /** volume velocity away from the start, imaginary part, m^3/s */
  readonly flowIm: Float64Array;
}

/**
 * Sound pressure, Pa RMS, and volume velocity, m^3/s RMS, at every place of a path and at every frequency of a prediction. The network is solved once; from the pressures
 * at both ends of a duct its flow follows, and from the far end the chain matrices of short pieces lead back to the near end. In a duct that takes nearly all
 * of the sound the pressures at both ends give those between.
 *
 * @throws InputError  when the design has no duct, or none of that name
 * @remarks Without wall loss the two ends agree with the solution to rounding; with it to about 2e-5 of the largest pressure, because the
 * short pieces take the loss at closer radii than the solution does. A turn is one step.
 * Source: chain matrices as in the solution (Beranek & Mellow, Acoustics, 2012, chapter 9); method derived here.
 */
export function alongPath(prediction: Prediction, options: AlongPathOptions = {}): PathField {
  return alongRun(prediction, runOf(prediction, options.duct), options);
}

/**
 * As `alongPath`, along ducts that stand one behind the other: Pa RMS and m^3/s RMS.
 *
 * @param run      of the network of the prediction, from `ductRuns`
 * @throws InputError  when a frequency or the step is out of range
 */
export function alongRun(prediction: Prediction, run: DuctRun, options: Omit<AlongPathOptions, "duct"> = {}): PathField {
  const { frequencies = prediction.frequencies } = options;
  checkFrequencies(frequencies);
  const shortest = prediction.air.soundSpeed / frequencies[frequencies.length - 1]!;
  const { step = Math.min(shortest / 40, run.length / 100) } = options;
  if (!(step > 0 && Number.isFinite(step))) throw new InputError({ where: "alongPath.step", came: `${step} m`, expected: "a positive distance is expected" });
  if (run.length / step > 20_000) throw new InputError({ where: "alongPath.step", came: `${step} m on ${run.length} m`, expected: "at most 20000 places are expected" });
  const { solution } = hear(prediction, frequencies);
  const marched = run.parts.map((part) => marchDuct(prediction, part.duct, solution, step));

  const n = frequencies.length, m = marched.reduce((sum, one) => sum + one.distance.length, 0);
  const out = { distance: new Float64Array(m), area: new Float64Array(m), pressureRe: new Float64Array(m * n), pressureIm: new Float64Array(m * n), flowRe: new Float64Array(m * n), flowIm: new Float64Array(m * n) };
  const marks: PathMark[] = [];
  const mark = (name: string, at: number): void => void (marks.some((known) => known.name === name && Math.abs(known.at - at) < 1e-9) || marks.push({ name, at }));
  let place = 0, begin = 0;
  run.parts.forEach((part, p) => {
    const one = marched[p]!, length = ductLength(part.duct), count = one.distance.length, sign = part.reversed ? -1 : 1;
    mark(part.start, begin);
    for (let i = 0; i < count; i++, place++) {
      const from = part.reversed ? count - 1 - i : i;
      out.distance[place] = begin + (part.reversed ? length - one.distance[from]! : one.distance[from]!);
      out.area[place] = one.area[from]!;
      for (let f = 0; f < n; f++) {
        out.pressureRe[place * n + f] = one.pressureRe[from * n + f]!;
        out.pressureIm[place * n + f] = one.pressureIm[from * n + f]!;
        out.flowRe[place * n + f] = sign * one.flowRe[from * n + f]!;
        out.flowIm[place * n + f] = sign * one.flowIm[from * n + f]!;
      }
    }
    const end = begin + length;
    for (const { name, at } of fillEdges(part.duct)) mark(name, part.reversed ? end - at : begin + at);
    begin = end;
    mark(part.end, begin);
  });
  return Object.freeze({ name: run.name, marks: Object.freeze(marks), frequencies, ...out });
}

/** Where the fill changes inside a duct, in its own direction, m from its near end. */
function fillEdges(duct: DuctElement): PathMark[] {
  const edges: PathMark[] = [];
  let at = 0, before: number | undefined;
  duct.sections.forEach((section, i) => {
    const now = section.flare === "turn" ? 0 : (section.fill?.flowResistivity ?? 0);
    if (i > 0 && now !== before) edges.push({ name: now > 0 && before! > 0 ? "change of fill" : "edge of the fill", at });
    before = now;
    at += section.length;
  });
  return edges;
}

function checkFrequencies(frequencies: Float64Array): void {
  if (frequencies.length === 0) throw new InputError({ where: "alongPath.frequencies", came: "no frequency", expected: "at least one is expected" });
  for (let i = 0; i < frequencies.length; i++) {
    if (!(frequencies[i]! > 0 && Number.isFinite(frequencies[i]!)) || (i > 0 && frequencies[i]! <= frequencies[i - 1]!)) {
      throw new InputError({ where: "alongPath.frequencies", came: `${frequencies[i]} Hz at place ${i + 1}`, expected: "positive frequencies in ascending order are expected" });
    }
  }
}

function runOf(prediction: Prediction, duct: string | undefined): DuctRun {
  const runs = ductRuns(prediction.design.network);
  if (runs.length === 0) {
    throw new InputError({ where: "alongPath", came: `"${prediction.design.name}" (${prediction.design.kind}) has no duct`, expected: "a design with a path, a port or a duct is expected" });
  }
  const run = duct === undefined ? runs[0] : runs.find((r) => r.parts.some((p) => p.duct.name === duct));
  if (run !== undefined) return run;
  const names = runs.flatMap((r) => r.parts.map((p) => `"${p.duct.name}"`)).join(", ");
  throw new InputError({ where: "alongPath.duct", came: `"${duct}"`, expected: `one of ${names} is expected` });
}

type Marched = Pick<PathField, "distance" | "area" | "pressureRe" | "pressureIm" | "flowRe" | "flowIm">;

/** One duct from its near end (distance 0) to its far end. */
function marchDuct(prediction: Prediction, duct: DuctElement, solution: NetworkSolution, step: number): Marched {
  const { air } = prediction, { frequencies } = solution;
  const n = frequencies.length;
  const pieces = piecesOf(duct.sections, step);
  const places = 2 * pieces.length; // both sides of each piece; equal neighbours are left out below
  const { p2r, p2i, u2r, u2i } = farEnd(prediction, duct, solution);
  const pr = new Float64Array(places * n), pi = new Float64Array(places * n), ur = new Float64Array(places * n), ui = new Float64Array(places * n);
  const chain = new Float64Array(8);
  const near1 = solution.nodes.indexOf(duct.from) * n, whole = compileDuct(duct.sections);
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!;
    cascadeChain(whole, omega, air, chain);
    if (isDamped(chain)) {
      dampedStates(pieces, { near: [solution.pressureRe[near1 + f]!, solution.pressureIm[near1 + f]!], far: [p2r[f]!, p2i[f]!] }, omega, air, { pr, pi, ur, ui }, { f, n });
      continue;
    }
    let ar = p2r[f]!, ai = p2i[f]!, br = u2r[f]!, bi = u2i[f]!;
    for (let k = pieces.length - 1; k >= 0; k--) {
      const far = (2 * k + 1) * n + f, near = 2 * k * n + f;
      pr[far] = ar;
      pi[far] = ai;
      ur[far] = br;
      ui[far] = bi;
      cascadeChain(pieces[k]!.compiled, omega, air, chain);
      const nr = chain[0]! * ar - chain[1]! * ai + chain[2]! * br - chain[3]! * bi, ni = chain[0]! * ai + chain[1]! * ar + chain[2]! * bi + chain[3]! * br;
      const vr = chain[4]! * ar - chain[5]! * ai + chain[6]! * br - chain[7]! * bi, vi = chain[4]! * ai + chain[5]! * ar + chain[6]! * bi + chain[7]! * br;
      ar = nr;
      ai = ni;
      br = vr;
      bi = vi;
      pr[near] = ar;
      pi[near] = ai;
      ur[near] = br;
      ui[near] = bi;
    }
  }
  // where the area goes on without a step, the two sides of a joint are one place
  const kept: number[] = [], distance: number[] = [], area: number[] = [];
  let at = 0;
  pieces.forEach((piece, k) => {
    const before = pieces[k - 1];
    if (before === undefined || Math.abs(piece.areaStart / before.areaEnd - 1) > 1e-9) {
      kept.push(2 * k);
      distance.push(at);
      area.push(piece.areaStart);
    }
    at += piece.length;
    kept.push(2 * k + 1);
    distance.push(at);
    area.push(piece.areaEnd);
  });
  const take = (values: Float64Array): Float64Array => {
    const out = new Float64Array(kept.length * n);
    kept.forEach((place, i) => out.set(values.subarray(place * n, (place + 1) * n), i * n));
    return out;
  };
  return { distance: Float64Array.from(distance), area: Float64Array.from(area), pressureRe: take(pr), pressureIm: take(pi), flowRe: take(ur), flowIm: take(ui) };
}

interface Piece {
  readonly compiled: CompiledDuct;
  readonly length: number;
  readonly areaStart: number;
  readonly areaEnd: number;
}

/** Short pieces of a duct, cut exactly along its flares; a turn stays whole. */
function piecesOf(sections: readonly Section[], step: number): Piece[] {
  return sections.flatMap((section) => {
    if (section.length === 0) return [];
    if (section.flare === "turn") return [{ compiled: compileDuct([section]), length: section.length, areaStart: section.area, areaEnd: section.area }];
    const count = Math.max(1, Math.ceil(section.length / step - 1e-9));
    return Array.from({ length: count }, (_, i) => {
      const cut = { ...section, length: section.length / count, areaStart: areaAlong(section, i / count), areaEnd: areaAlong(section, (i + 1) / count) };
      return { compiled: compileDuct([cut]), length: cut.length, areaStart: cut.areaStart, areaEnd: cut.areaEnd };
    });
  });
}

/** Pressure and flow at the far end of a duct at each frequency: U2 = (p1 - A p2) / B. */
function farEnd(prediction: Prediction, duct: DuctElement, solution: NetworkSolution): { p2r: Float64Array; p2i: Float64Array; u2r: Float64Array; u2i: Float64Array } {
  const { frequencies } = solution, n = frequencies.length, { air } = prediction;
  const near = solution.nodes.indexOf(duct.from) * n, far = solution.nodes.indexOf(duct.to) * n;
  const p2r = solution.pressureRe.slice(far, far + n), p2i = solution.pressureIm.slice(far, far + n);
  const u2r = new Float64Array(n), u2i = new Float64Array(n);
  const compiled = compileDuct(duct.sections);
  const chain = new Float64Array(8);
  const last = duct.sections[duct.sections.length - 1]!;
  const scale = (air.density * air.soundSpeed) / (last.flare === "turn" ? last.area : last.areaEnd);
  const unknown: number[] = [];
  for (let f = 0; f < n; f++) {
    cascadeChain(compiled, 2 * Math.PI * frequencies[f]!, air, chain);
    const br = chain[2]!, bi = chain[3]!, bb = br * br + bi * bi;
    // half a wavelength without loss: the pressures at the ends say nothing of the flow
    if (Math.sqrt(bb) < 1e-5 * scale && frequencies[f]! > 1) unknown.push(f);
    const dr = solution.pressureRe[near + f]! - (chain[0]! * p2r[f]! - chain[1]! * p2i[f]!);
    const di = solution.pressureIm[near + f]! - (chain[0]! * p2i[f]! + chain[1]! * p2r[f]!);
    u2r[f] = (dr * br + di * bi) / bb;
    u2i[f] = (di * br - dr * bi) / bb;
  }
  for (const f of unknown) {
    // the mean of two neighbours, whose error is of second order in their distance of 1e-4
    const neighbours = Float64Array.of(frequencies[f]! * (1 - 1e-4), frequencies[f]! * (1 + 1e-4));
    const beside = farEnd(prediction, duct, hear(prediction, neighbours).solution);
    u2r[f] = (beside.u2r[0]! + beside.u2r[1]!) / 2;
    u2i[f] = (beside.u2i[0]! + beside.u2i[1]!) / 2;
  }
  return { p2r, p2i, u2r, u2i };
}
