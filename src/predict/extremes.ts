import { referencePressure } from "../math/curve.js";
import { vertex, type ValueAt } from "./figures-of-merit.js";
import { hear } from "./far-pressure.js";
import { delayAt } from "./phase.js";
import type { Prediction } from "./predict.js";
import { type ResultsAt, resultsAt } from "./results-at.js";

/** The largest value of a result over the frequencies of a prediction. */
export interface Extreme extends ValueAt {
  /** where it lies: at a top, or at the lowest or highest frequency of the prediction, beyond which the result may go on rising */
  readonly at: "top" | "lowest frequency" | "highest frequency";
}

/** Largest values of one cone. */
export interface ConeExtremes {
  /** one way, m peak */
  readonly excursion: Extreme;
  /** front minus back, Pa RMS */
  readonly pressureAcross: Extreme;
}

/** Largest values of a prediction. */
export interface Extremes {
  /** highest level, dB re 20 uPa */
  readonly level: Extreme;
  /** largest excursion of any cone, one way, m peak */
  readonly excursion: Extreme;
  /** longest group delay, s */
  readonly groupDelay: Extreme;
  /** highest impedance, ohm */
  readonly impedance: Extreme;
  /** largest pressure across any cone, Pa RMS */
  readonly pressureAcrossCone: Extreme;
  /** those of each cone of the prediction, in the same order */
  readonly cones: readonly ConeExtremes[];
  /** fastest air of each opening, m/s peak; undefined for faces and for openings without an area */
  readonly airSpeeds: readonly (Extreme | undefined)[];
}

/** A result over any frequencies: its values n by n. */
interface Result {
  readonly onGrid: Float64Array;
  readonly of: (results: ResultsAt) => Float64Array;
}

/** A stretch of frequencies with a top in it. */
interface Bracket {
  readonly result: number;
  /** Hz, ascending; the highest value is inside */
  readonly f: Float64Array;
  readonly values: Float64Array;
}

// tops of the grid that are looked at closely, points inside a bracket, and rounds, no unit
const tops = 3, points = 8, rounds = 3;

/**
 * Largest values of a prediction, also between the points of its grid: the network is solved anew round the three highest tops of each result on the grid, each time
 * closer, and the last three points carry a parabola. About 600 solutions, whatever the grid. A top so narrow that the grid shows nothing of it stays unseen.
 *
 * Source: parabola through three points, elementary.
 */
export function extremesOf(p: Prediction): Extremes {
  const magnitudes = (re: Float64Array, im: Float64Array): Float64Array => re.map((x, i) => Math.hypot(x, im[i]!));
  const levels = ({ heard }: Pick<ResultsAt, "heard">): Float64Array => heard.re.map((x, i) => 20 * Math.log10(Math.hypot(x, heard.im[i]!) / referencePressure));
  const speeds = p.openings.map((opening) => (opening.isFace ? undefined : opening.airSpeedPeak));
  const results: Result[] = [
    { onGrid: p.level, of: levels },
    { onGrid: magnitudes(p.impedance.re, p.impedance.im), of: (r) => magnitudes(r.impedanceRe, r.impedanceIm) },
    ...p.cones.flatMap(({ drivers, excursionPeak, pressureAcross }): Result[] => {
      const place = p.design.network.drivers.findIndex(({ name }) => name === drivers[0]);
      return [
        { onGrid: excursionPeak, of: (r) => r.cones[place]!.excursionPeak },
        { onGrid: magnitudes(pressureAcross.re, pressureAcross.im), of: (r) => magnitudes(r.cones[place]!.acrossRe, r.cones[place]!.acrossIm) },
      ];
    }),
    ...speeds.flatMap((onGrid, o): Result[] => (onGrid === undefined ? [] : [{ onGrid, of: (r) => r.airSpeeds[o]! }])),
  ];
  const found = largest(p.frequencies, results.map((r) => r.onGrid), (f) => {
    const at = resultsAt(p, f);
    return results.map((r) => r.of(at));
  });
  const [groupDelay] = largest(p.frequencies, [p.groupDelay], (f) => [delayAt((at) => hear(p, at), f)]);
  let next = 2;
  const cones = p.cones.map((): ConeExtremes => Object.freeze({ excursion: found[next++]!, pressureAcross: found[next++]! }));
  const most = (extremes: readonly Extreme[]): Extreme => extremes.reduce((a, b) => (b.value > a.value ? b : a));
  return Object.freeze({
    level: found[0]!,
    excursion: most(cones.map((cone) => cone.excursion)),
    groupDelay: groupDelay!,
    impedance: found[1]!,
    pressureAcrossCone: most(cones.map((cone) => cone.pressureAcross)),
    cones: Object.freeze(cones),
    airSpeeds: Object.freeze(speeds.map((onGrid) => (onGrid === undefined ? undefined : found[next++]!))),
  });
}

/** The largest value of each of several results that can be evaluated together. */
function largest(grid: Float64Array, onGrid: readonly Float64Array[], evaluate: (frequencies: Float64Array) => readonly Float64Array[]): Extreme[] {
  const last = grid.length - 1;
  const best = onGrid.map((values): Extreme => {
    let at = 0;
    for (let i = 1; i < values.length; i++) if (values[i]! > values[at]!) at = i;
    return { value: values[at]!, frequency: grid[at]!, at: at === 0 ? "lowest frequency" : at === last ? "highest frequency" : "top" };
  });
  const isHigher = ({ value }: ValueAt, result: number): boolean => value > best[result]!.value;
  let open: Bracket[] = onGrid.flatMap((values, result) => topsOf(values).map((i) => ({ result, f: grid.slice(i - 1, i + 2), values: values.slice(i - 1, i + 2) })));
  for (let round = 0; round < rounds && open.length > 0; round++) {
    const inner = open.map(({ f }) => Array.from({ length: points }, (_, i) => f[0]! * (f[2]! / f[0]!) ** ((i + 1) / (points + 1))));
    // all brackets in one evaluation, ascending
    const wanted = Float64Array.from([...new Set(inner.flat())].sort((a, b) => a - b));
    const place = new Map(Array.from(wanted, (f, i) => [f, i]));
    const evaluated = evaluate(wanted);
    open = open.flatMap(({ result, f, values }, b) => {
      const known = [...Array.from(f, (x, i) => [x, values[i]!] as const), ...inner[b]!.map((x) => [x, evaluated[result]![place.get(x)!]!] as const)];
      const sorted = known.filter(([x], i) => known.findIndex(([y]) => y === x) === i).sort(([x], [y]) => x - y);
      let at = 1;
      for (let i = 1; i + 1 < sorted.length; i++) if (sorted[i]![1] > sorted[at]![1]) at = i;
      const three = sorted.slice(at - 1, at + 2);
      return three.every(([, value]) => Number.isFinite(value)) ? [{ result, f: Float64Array.from(three, ([x]) => x), values: Float64Array.from(three, ([, value]) => value) }] : [];
    });
  }
  for (const { result, f, values } of open) {
    const isTop = values[1]! >= values[0]! && values[1]! >= values[2]!;
    const top = isTop ? vertex(f, values, 1) : { value: values[1]!, frequency: f[1]! };
    if (isHigher(top, result)) best[result] = { ...top, at: "top" };
  }
  return best.map((extreme) => Object.freeze(extreme));
}

/** Places of the highest tops of values inside the grid. */
function topsOf(values: Float64Array): number[] {
  const all: number[] = [];
  for (let i = 1; i + 1 < values.length; i++) if (values[i]! > values[i - 1]! && values[i]! >= values[i + 1]! && Number.isFinite(values[i - 1]! + values[i]! + values[i + 1]!)) all.push(i);
  return all.sort((a, b) => values[b]! - values[a]!).slice(0, tops);
}
