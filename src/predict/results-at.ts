import { openingsOf } from "../acoustics/network.js";
import { type ConeMotion, coneMotions, largestOf } from "./cones.js";
import { hear, type Heard, type Situation } from "./far-pressure.js";

/** What a prediction reads from a solution at each frequency, but for the phase; n values each. */
export interface ResultsAt {
  readonly heard: Heard;
  /** impedance at the terminals without source and leads, real part, ohm */
  readonly impedanceRe: Float64Array;
  /** imaginary part, ohm */
  readonly impedanceIm: Float64Array;
  /** what the cone of each driver does, in the order of the network */
  readonly cones: readonly ConeMotion[];
  /** of the cone that moves farthest at each frequency, one way, peak of a sine, m */
  readonly excursionPeak: Float64Array;
  /** air speed of each opening, mean over the narrowest area that its air passes, peak, m/s; undefined without an area */
  readonly airSpeeds: readonly (Float64Array | undefined)[];
}

/**
 * Impedance (ohm), displacement (m) of each cone and pressure across it (Pa), and air speeds (m/s) of a design, with the pressure at the listener (Pa).
 *
 * @param situation    design, drive, space, distance, air
 * @param frequencies  Hz, n values
 */
export function resultsAt(situation: Situation, frequencies: Float64Array): ResultsAt {
  const { design, drive } = situation, { network } = design;
  const n = frequencies.length;
  const heard = hear(situation, frequencies), s = heard.solution;
  const zeros = (): Float64Array => new Float64Array(n);
  const impedanceRe = zeros(), impedanceIm = zeros();
  for (let f = 0; f < n; f++) {
    // admittance, then what stands at the terminals, without source and leads
    const cr = s.currentRe[f]! / drive.voltage, ci = s.currentIm[f]! / drive.voltage, cc = cr * cr + ci * ci;
    impedanceRe[f] = cr / cc - drive.sourceResistance;
    impedanceIm[f] = -ci / cc;
  }
  const airSpeeds = openingsOf(network).map(({ area, throatArea }, o) => {
    const narrowest = throatArea ?? area;
    if (narrowest === undefined) return undefined;
    return Float64Array.from({ length: n }, (_, f) => (Math.SQRT2 * Math.hypot(s.flowRe[o * n + f]!, s.flowIm[o * n + f]!)) / narrowest);
  });
  const cones = coneMotions(network, s);
  return { heard, impedanceRe, impedanceIm, cones, excursionPeak: largestOf(cones.map((cone) => cone.excursionPeak)), airSpeeds };
}
