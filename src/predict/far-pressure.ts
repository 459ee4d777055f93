import type { Air } from "../air/air.js";
import { openingsOf } from "../acoustics/network.js";
import { solveNetwork, type Drive, type NetworkSolution } from "../acoustics/solve.js";
import type { Design } from "../enclosure/design.js";
import { freeRadiation, freeTransferImaginary, type FreeSpace } from "../space/free.js";

/** A design under a drive in a space, with a listener at a distance. */
export interface Situation {
  readonly design: Design;
  readonly drive: Drive;
  readonly space: FreeSpace;
  /** from the openings to the listener, m */
  readonly distance: number;
  readonly air: Air;
}

/** The network solved and the sound pressure at the listener without travel time, Pa RMS, n values. */
export interface Heard {
  readonly solution: NetworkSolution;
  /** real part, Pa */
  readonly re: Float64Array;
  /** imaginary part, Pa */
  readonly im: Float64Array;
}

/**
 * Sound pressure at the listener, Pa RMS: the complex sum over all openings (all at the same distance), travel time left out.
 *
 * @param situation    design, drive, space, distance, air
 * @param frequencies  Hz, n values
 */
export function hear(situation: Situation, frequencies: Float64Array): Heard {
  const { design, drive, space, distance, air } = situation;
  const radiation = freeRadiation(space, openingsOf(design.network), frequencies, air);
  const solution = solveNetwork(design.network, design.driver, drive, frequencies, air, radiation);
  const n = frequencies.length;
  const re = new Float64Array(n), im = new Float64Array(n);
  for (let f = 0; f < n; f++) {
    let ur = 0, ui = 0;
    for (let o = 0; o < solution.openings.length; o++) {
      ur += solution.flowRe[o * n + f]!;
      ui += solution.flowIm[o * n + f]!;
    }
    const h = freeTransferImaginary(space, frequencies[f]!, distance, air);
    re[f] = -h * ui;
    im[f] = h * ur;
  }
  return { solution, re, im };
}
