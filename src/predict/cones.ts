import type { MotorParameters } from "../driver/parameters.js";
import type { Network } from "../acoustics/network.js";
import type { NetworkSolution } from "../acoustics/solve.js";

/** What the cone of one driver does; n values each. */
export interface ConeMotion {
  /** displacement towards the front face, real part, m RMS */
  readonly displacementRe: Float64Array;
  /** imaginary part, m RMS */
  readonly displacementIm: Float64Array;
  /** one way, peak of a sine, m */
  readonly excursionPeak: Float64Array;
  /** pressure in front less pressure behind, real part, Pa RMS */
  readonly acrossRe: Float64Array;
  /** imaginary part, Pa RMS */
  readonly acrossIm: Float64Array;
}

/** Drivers of a network whose cones move alike. */
export interface ConeGroup {
  /** names of the drivers in words, such as "left, right" */
  readonly name: string;
  /** names of the drivers */
  readonly drivers: readonly string[];
  /** place of the first of them in the network, no unit */
  readonly place: number;
  /** parameters of the first of them */
  readonly driver: MotorParameters;
}

/** How far two cones may differ and still count as one, of the largest excursion or pressure; no unit. */
const alike = 1e-6;

/**
 * Displacement (m RMS), excursion (m peak) and pressure difference (Pa RMS) of the cone of each driver of a network, in its order.
 *
 * @param solution  of that network, n frequencies
 */
export function coneMotions(network: Network, solution: NetworkSolution): readonly ConeMotion[] {
  const { frequencies, nodes } = solution, n = frequencies.length;
  return network.drivers.map(({ front, back }, d) => {
    const displacementRe = new Float64Array(n), displacementIm = new Float64Array(n), excursionPeak = new Float64Array(n), acrossRe = new Float64Array(n), acrossIm = new Float64Array(n);
    const before = nodes.indexOf(front) * n, behind = nodes.indexOf(back) * n;
    for (let f = 0; f < n; f++) {
      const omega = 2 * Math.PI * frequencies[f]!;
      displacementRe[f] = solution.velocityIm[d * n + f]! / omega;
      displacementIm[f] = -solution.velocityRe[d * n + f]! / omega;
      excursionPeak[f] = Math.SQRT2 * Math.hypot(displacementRe[f]!, displacementIm[f]!);
      acrossRe[f] = solution.pressureRe[before + f]! - solution.pressureRe[behind + f]!;
      acrossIm[f] = solution.pressureIm[before + f]! - solution.pressureIm[behind + f]!;
    }
    return { displacementRe, displacementIm, excursionPeak, acrossRe, acrossIm };
  });
}

/**
 * Drivers in groups of which all cones move as far, under as much pressure and with the same Xmax, to 1e-6 of the largest value; the order is that of the network.
 *
 * @param motions  one for each driver
 */
export function coneGroups(network: Network, motions: readonly ConeMotion[]): readonly ConeGroup[] {
  const groups: { place: number; drivers: string[] }[] = [];
  network.drivers.forEach(({ name, driver }, d) => {
    const group = groups.find(({ place }) => network.drivers[place]!.driver.Xmax === driver.Xmax && moveAlike(motions[place]!, motions[d]!));
    if (group === undefined) groups.push({ place: d, drivers: [name] });
    else group.drivers.push(name);
  });
  return Object.freeze(
    groups.map(({ place, drivers }) =>
      Object.freeze({
        name: drivers.length > 3 ? `${drivers[0]} and ${drivers.length - 1} that move alike` : drivers.join(", "),
        drivers: Object.freeze(drivers),
        place,
        driver: network.drivers[place]!.driver,
      }),
    ),
  );
}

/** The largest of several curves at each point, such as excursions in m peak; the curve itself where there is one. */
export function largestOf(curves: readonly Float64Array[]): Float64Array {
  const [first, ...rest] = curves;
  return rest.length === 0 ? first! : first!.map((value, i) => rest.reduce((largest, curve) => Math.max(largest, curve[i]!), value));
}

function moveAlike(a: ConeMotion, b: ConeMotion): boolean {
  // a cone that is turned round moves the other way under the opposite pressure
  const same = (ar: Float64Array, ai: Float64Array, br: Float64Array, bi: Float64Array): boolean => {
    let most = 0, plain = 0, turned = 0;
    for (let f = 0; f < ar.length; f++) {
      most = Math.max(most, Math.hypot(ar[f]!, ai[f]!), Math.hypot(br[f]!, bi[f]!));
      plain = Math.max(plain, Math.hypot(ar[f]! - br[f]!, ai[f]! - bi[f]!));
      turned = Math.max(turned, Math.hypot(ar[f]! + br[f]!, ai[f]! + bi[f]!));
    }
    return Math.min(plain, turned) <= alike * most;
  };
  return same(a.displacementRe, a.displacementIm, b.displacementRe, b.displacementIm) && same(a.acrossRe, a.acrossIm, b.acrossRe, b.acrossIm);
}
