import type { Air } from "../air/air.js";
import { openingsOf, type OpeningElement } from "../acoustics/network.js";
import { solveNetwork, type Drive, type NetworkSolution } from "../acoustics/solve.js";
import type { Design } from "../enclosure/design.js";
import { hasDetours, type Space, spaceRadiation, spaceTransfer, type Transfer } from "../space/space.js";

/** A design under a drive in a space, with a listener at a distance. */
export interface Situation {
  readonly design: Design;
  readonly drive: Drive;
  readonly space: Space;
  /** from the openings to the listener, m; not used where the space places the listener */
  readonly distance: number;
  readonly air: Air;
}

/** The network solved and the sound pressure at the listener without travel time, Pa RMS, n values. */
export interface Heard {
  readonly solution: NetworkSolution;
  /** pressure at the listener per flow of each opening */
  readonly transfer: Transfer;
  /** real part, Pa */
  readonly re: Float64Array;
  /** imaginary part, Pa */
  readonly im: Float64Array;
}

/** Share of the sum of what the openings add below which nothing but rounding is left of their complex sum, no unit. */
const rounding = 1e-13;

/**
 * Sound pressure at the listener, Pa RMS: the complex sum over all openings (all at the same distance), travel time left out. Exactly zero where the openings cancel
 * to rounding.
 *
 * @param situation    design, drive, space, distance, air
 * @param frequencies  Hz, n values
 */
export function hear(situation: Situation, frequencies: Float64Array): Heard {
  const { design, drive, space, distance, air } = situation;
  const openings = openingsOf(design.network);
  const radiation = spaceRadiation(space, openings, frequencies, air);
  const solution = solveNetwork(design.network, drive, frequencies, air, radiation);
  const transfer = withDetours(spaceTransfer(space, openings, distance, frequencies, air), openings, space, frequencies, air);
  const n = frequencies.length;
  const re = new Float64Array(n), im = new Float64Array(n);
  for (let f = 0; f < n; f++) {
    let pr = 0, pi = 0, all = 0;
    for (let o = 0; o < openings.length; o++) {
      const at = o * n + f;
      const ur = solution.flowRe[at]!, ui = solution.flowIm[at]!, hr = transfer.re[at]!, hi = transfer.im[at]!;
      const xr = hr * ur - hi * ui, xi = hr * ui + hi * ur;
      pr += xr;
      pi += xi;
      all += Math.abs(xr) + Math.abs(xi);
    }
    const cancels = Math.abs(pr) + Math.abs(pi) < rounding * all;
    re[f] = cancels ? 0 : pr;
    im[f] = cancels ? 0 : pi;
  }
  return { solution, transfer, re, im };
}

/** Sound that goes round an edge comes later, by the mean of e^{-jkd} over its ways, in free space; one with walls puts the back of a baffle behind it. */
function withDetours(transfer: Transfer, openings: readonly OpeningElement[], space: Space, frequencies: Float64Array, air: Air): Transfer {
  if (!openings.some((o) => hasDetours(space, o))) return transfer;
  const re = transfer.re.slice(), im = transfer.im.slice(), n = frequencies.length;
  openings.forEach((opening, o) => {
    const { detours } = opening;
    if (detours === undefined || !hasDetours(space, opening)) return;
    for (let f = 0; f < n; f++) {
      const k = (2 * Math.PI * frequencies[f]!) / air.soundSpeed, at = o * n + f;
      let c = 0, s = 0;
      for (let d = 0; d < detours.length; d++) {
        c += Math.cos(k * detours[d]!);
        s -= Math.sin(k * detours[d]!);
      }
      c /= detours.length;
      s /= detours.length;
      const a = re[at]!, b = im[at]!;
      re[at] = a * c - b * s;
      im[at] = a * s + b * c;
    }
  });
  return { re, im };
}
