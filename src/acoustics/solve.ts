import { SolveError } from "../errors.js";
import type { Air } from "../air/air.js";
import type { DriverParameters } from "../driver/parameters.js";
import { solveComplexInPlace } from "../math/linear-solve.js";
import { cascadeChain, compileDuct, type CompiledDuct } from "./cascade.js";
import { checkNetwork, nodesOf, openingsOf, type LumpedElement, type Network, type OpeningElement, type VolumeElement } from "./network.js";

/** What drives the terminals. */
export interface Drive {
  /** voltage of the source, V RMS */
  readonly voltage: number;
  /** resistance of source and leads, ohm */
  readonly sourceResistance: number;
}

/**
 * Radiation impedances of all openings in one space: what a unit of volume velocity out of opening j does to the pressure at
 * opening i. One full matrix per frequency, row by row: value (f, i, j) stands at place (f * m + i) * m + j for m openings.
 */
export interface RadiationMatrix {
  /** real part, Pa s/m^3, n * m * m values */
  readonly re: Float64Array;
  /** imaginary part, Pa s/m^3, n * m * m values */
  readonly im: Float64Array;
}

/** Everything that the network knows after solving; n frequencies, RMS, e^{+jwt}. */
export interface NetworkSolution {
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** names of the nodes */
  readonly nodes: readonly string[];
  /** pressure at the nodes, real part, Pa; node i at frequency f stands at place i * n + f */
  readonly pressureRe: Float64Array;
  /** pressure at the nodes, imaginary part, Pa */
  readonly pressureIm: Float64Array;
  /** names of the openings */
  readonly openings: readonly string[];
  /** volume velocity out of the openings, real part, m^3/s; opening i at frequency f stands at place i * n + f */
  readonly flowRe: Float64Array;
  /** volume velocity out of the openings, imaginary part, m^3/s */
  readonly flowIm: Float64Array;
  /** cone velocity towards the front face, real part, m/s, n values */
  readonly velocityRe: Float64Array;
  /** cone velocity, imaginary part, m/s, n values */
  readonly velocityIm: Float64Array;
  /** current into the terminals, real part, A, n values */
  readonly currentRe: Float64Array;
  /** current into the terminals, imaginary part, A, n values */
  readonly currentIm: Float64Array;
}

/**
 * Solves an acoustic network with its driver, exactly, at each frequency: node pressures (Pa), cone velocity (m/s), volume
 * velocities of the openings (m^3/s) and current (A), all RMS and complex.
 *
 * The equations keep a flow unknown for every duct end, port and opening (modified nodal analysis), so that no duct length and no
 * resonance makes them singular by itself. The driver: v = (Bl E / Ze - Sd (p_front - p_back)) / (Zm + Bl^2 / Ze).
 *
 * @param network      checked here
 * @param driver       small-signal parameters, SI
 * @param drive        voltage and source resistance
 * @param frequencies  Hz, positive, any order, n values
 * @param air          density, sound speed, viscosity
 * @param radiation    loads of the openings that work into the space
 * @throws SolveError  where no finite solution exists (a lossless closed resonance), naming the frequency
 *
 * Source: analogous circuits after Beranek & Mellow, Acoustics, 2012, chapters 3 to 6; driver after Small 1972.
 */
export function solveNetwork(network: Network, driver: DriverParameters, drive: Drive, frequencies: Float64Array, air: Air, radiation: RadiationMatrix): NetworkSolution {
  checkNetwork(network);
  const plan = compile(network);
  const { nodes, ducts, lumped, openings, volumes } = plan;
  const n = frequencies.length, m = openings.length;
  const size = nodes.length + ducts.length + lumped.length + m;
  const ar = new Float64Array(size * size), ai = new Float64Array(size * size);
  const br = new Float64Array(size), bi = new Float64Array(size);
  const chain = new Float64Array(8);
  const solution: NetworkSolution = {
    frequencies,
    nodes,
    pressureRe: new Float64Array(nodes.length * n),
    pressureIm: new Float64Array(nodes.length * n),
    openings: openings.map((o) => o.name),
    flowRe: new Float64Array(m * n),
    flowIm: new Float64Array(m * n),
    velocityRe: new Float64Array(n),
    velocityIm: new Float64Array(n),
    currentRe: new Float64Array(n),
    currentIm: new Float64Array(n),
  };
  const { Sd, Bl, Mms, Cms, Rms, Re, Le } = driver;
  const flowScale = (air.density * air.soundSpeed) / Sd; // flows are solved for as pressures, so that pivots compare like with like
  const ductAt = nodes.length, lumpedAt = ductAt + ducts.length, openingAt = lumpedAt + lumped.length;

  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!;
    ar.fill(0);
    ai.fill(0);
    br.fill(0);
    bi.fill(0);

    for (const volume of volumes) {
      ai[volume.node * size + volume.node]! += (flowScale * omega * volume.volume) / (air.density * air.soundSpeed * air.soundSpeed);
    }
    for (let d = 0; d < ducts.length; d++) {
      const duct = ducts[d]!, unknown = ductAt + d;
      cascadeChain(duct.compiled, omega, air, chain);
      // flow balance: C p2 + D U2 leaves the near node, U2 enters the far node
      const near = duct.from * size, far = duct.to * size, row = unknown * size;
      ar[near + duct.to]! += flowScale * chain[4]!;
      ai[near + duct.to]! += flowScale * chain[5]!;
      ar[near + unknown]! += chain[6]!;
      ai[near + unknown]! += chain[7]!;
      ar[far + unknown]! -= 1;
      // p1 - A p2 - B U2 = 0
      ar[row + duct.from]! += 1;
      ar[row + duct.to]! -= chain[0]!;
      ai[row + duct.to]! -= chain[1]!;
      ar[row + unknown]! -= chain[2]! / flowScale;
      ai[row + unknown]! -= chain[3]! / flowScale;
    }
    for (let l = 0; l < lumped.length; l++) {
      const element = lumped[l]!, unknown = lumpedAt + l, row = unknown * size;
      ar[element.from * size + unknown]! += 1;
      ar[element.to * size + unknown]! -= 1;
      ar[row + element.from]! += 1;
      ar[row + element.to]! -= 1;
      ar[row + unknown]! -= element.resistance / flowScale;
      ai[row + unknown]! -= (omega * element.mass) / flowScale;
    }
    for (let o = 0; o < m; o++) {
      const opening = openings[o]!, unknown = openingAt + o, row = unknown * size;
      ar[opening.node * size + unknown]! += 1;
      ar[row + opening.node]! += 1;
      const load = opening.load;
      if (load.kind === "series") {
        ar[row + unknown]! -= load.resistance / flowScale;
        ai[row + unknown]! -= (omega * load.mass) / flowScale;
      } else if (load.kind === "parallel") {
        // R jX / (R + jX)
        const x = omega * load.mass, r = load.resistance, q = r * r + x * x;
        ar[row + unknown]! -= (r * x * x) / q / flowScale;
        ai[row + unknown]! -= (r * r * x) / q / flowScale;
      } else if (load.kind === "space") {
        const at = (f * m + o) * m;
        for (let j = 0; j < m; j++) {
          ar[row + openingAt + j]! -= radiation.re[at + j]! / flowScale;
          ai[row + openingAt + j]! -= radiation.im[at + j]! / flowScale;
        }
      }
    }
    // driver: Zt v = Bl E / Ze - Sd (pf - pb), Zt = Zm + Bl^2 / Ze
    const er = Re + drive.sourceResistance, ei = omega * Le, ee = er * er + ei * ei;
    const tr = Rms + (Bl * Bl * er) / ee, ti = omega * Mms - 1 / (omega * Cms) - (Bl * Bl * ei) / ee;
    const tt = tr * tr + ti * ti;
    const yr = tr / tt, yi = -ti / tt; // 1 / Zt
    const fr = (Bl * drive.voltage * er) / ee, fi = (-Bl * drive.voltage * ei) / ee; // Bl E / Ze
    const sr = (fr * yr - fi * yi) * Sd * flowScale, si = (fr * yi + fi * yr) * Sd * flowScale;
    const gr = yr * Sd * Sd * flowScale, gi = yi * Sd * Sd * flowScale;
    const p = plan.front, q = plan.back;
    br[p]! += sr; bi[p]! += si; br[q]! -= sr; bi[q]! -= si;
    ar[p * size + p]! += gr; ai[p * size + p]! += gi;
    ar[q * size + q]! += gr; ai[q * size + q]! += gi;
    ar[p * size + q]! -= gr; ai[p * size + q]! -= gi;
    ar[q * size + p]! -= gr; ai[q * size + p]! -= gi;

    if (!solveComplexInPlace(size, ar, ai, br, bi)) throw noSolution(frequencies[f]!);

    for (let i = 0; i < nodes.length; i++) {
      solution.pressureRe[i * n + f] = br[i]!;
      solution.pressureIm[i * n + f] = bi[i]!;
    }
    for (let o = 0; o < m; o++) {
      solution.flowRe[o * n + f] = br[openingAt + o]! / flowScale;
      solution.flowIm[o * n + f] = bi[openingAt + o]! / flowScale;
    }
    const wr = fr - Sd * (br[p]! - br[q]!), wi = fi - Sd * (bi[p]! - bi[q]!);
    const vr = wr * yr - wi * yi, vi = wr * yi + wi * yr;
    solution.velocityRe[f] = vr;
    solution.velocityIm[f] = vi;
    // i = (E - Bl v) / Ze
    const ur = drive.voltage - Bl * vr, ui = -Bl * vi;
    solution.currentRe[f] = (ur * er + ui * ei) / ee;
    solution.currentIm[f] = (ui * er - ur * ei) / ee;
  }
  return solution;
}

function noSolution(frequency: number): SolveError {
  return new SolveError({
    where: "predict",
    came: `no finite solution at ${Number(frequency.toPrecision(6))} Hz`,
    expected: "a network with a finite response is expected (a lossless closed resonance has none)",
    hint: "give the path wall loss or move the frequency",
  });
}

interface Plan {
  readonly nodes: readonly string[];
  readonly front: number;
  readonly back: number;
  readonly ducts: readonly { readonly from: number; readonly to: number; readonly compiled: CompiledDuct }[];
  readonly lumped: readonly (Pick<LumpedElement, "mass" | "resistance"> & { readonly from: number; readonly to: number })[];
  readonly openings: readonly (Pick<OpeningElement, "name" | "load"> & { readonly node: number })[];
  readonly volumes: readonly (Pick<VolumeElement, "volume"> & { readonly node: number })[];
}

/** Names to places, once for all frequencies. */
function compile(network: Network): Plan {
  const nodes = nodesOf(network);
  const place = new Map(nodes.map((name, i) => [name, i]));
  const at = (name: string): number => place.get(name)!;
  const ducts: { from: number; to: number; compiled: CompiledDuct }[] = [];
  const lumped: { from: number; to: number; mass: number; resistance: number }[] = [];
  const volumes: { node: number; volume: number }[] = [];
  for (const e of network.elements) {
    if (e.kind === "duct") ducts.push({ from: at(e.from), to: at(e.to), compiled: compileDuct(e.sections) });
    else if (e.kind === "lumped") lumped.push({ from: at(e.from), to: at(e.to), mass: e.mass, resistance: e.resistance });
    else if (e.kind === "volume") volumes.push({ node: at(e.node), volume: e.volume });
  }
  const openings = openingsOf(network).map((o) => ({ name: o.name, node: at(o.node), load: o.load }));
  return { nodes, front: at(network.frontNode), back: at(network.backNode), ducts, lumped, openings, volumes };
}
