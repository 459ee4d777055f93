// A little above 300 lines: the loop over frequencies stays in one piece, so that nothing is allocated inside it.
import { InputError } from "../errors.js";
import type { Air } from "../air/air.js";
import type { MotorParameters } from "../driver/parameters.js";
import { coilImpedance } from "../driver/voice-coil.js";
import { solveComplexInPlace } from "../math/linear-solve.js";
import { cascadeChain, compileDuct, type CompiledDuct } from "./cascade.js";
import { fillConstants } from "./fill.js";
import { isBareLeak } from "./leak.js";
import { checkNetwork, nodesOf, openingsOf, type LumpedElement, type Network, type OpeningElement, type VolumeElement } from "./network.js";
import { noSolution } from "./no-solution.js";
import { compileWiring, type CompiledWiring, type SignedSum } from "./wiring.js";

/** What drives the terminals. */
export interface Drive {
  /** voltage of the source, V RMS */
  readonly voltage: number;
  /** resistance of source and leads, ohm */
  readonly sourceResistance: number;
  /** what the voltage was given as, W into the nominal impedance in ohm; undefined where a voltage was given. For reports only */
  readonly nominal?: { readonly power: number; readonly impedance: number };
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
  /** names of the drivers */
  readonly drivers: readonly string[];
  /** cone velocity towards the front face, real part, m/s; driver i at frequency f stands at place i * n + f */
  readonly velocityRe: Float64Array;
  /** cone velocity, imaginary part, m/s */
  readonly velocityIm: Float64Array;
  /** current through the voice coils, real part, A; driver i at frequency f stands at place i * n + f */
  readonly coilCurrentRe: Float64Array;
  /** current through the voice coils, imaginary part, A */
  readonly coilCurrentIm: Float64Array;
  /** current into the terminals, real part, A, n values */
  readonly currentRe: Float64Array;
  /** current into the terminals, imaginary part, A, n values */
  readonly currentIm: Float64Array;
}

/**
 * Solves an acoustic network with its driver, exactly, at each frequency: node pressures (Pa), cone velocity (m/s), volume
 * velocities of the openings (m^3/s) and current (A), all RMS and complex.
 *
 * The equations keep a flow unknown for every duct end, port and opening, and velocity and current of every driver (modified nodal analysis), so that
 * no duct length and no resonance makes them singular by itself. Driver: Bl i = Zm v + Sd (p_front - p_back), voltage Ze i + Bl v.
 *
 * @param network      elements, drivers and wiring; checked here
 * @param drive        voltage and source resistance
 * @param frequencies  Hz, positive, any order, n values
 * @param air          density, sound speed, viscosity
 * @param radiation    loads of the openings that work into the space; for leaks that are given as a bare resistance what the space adds to it
 * @throws InputError  when the network, a frequency or the count of loads is wrong
 * @throws SolveError  where no finite solution exists, naming the frequency and why (see `no-solution.ts`)
 *
 * Source: analogous circuits after Beranek & Mellow, Acoustics, 2012, chapters 3 to 6; driver after Small 1972.
 */
export function solveNetwork(network: Network, drive: Drive, frequencies: Float64Array, air: Air, radiation: RadiationMatrix): NetworkSolution {
  const solution = solveOrStop(network, drive, frequencies, air, radiation);
  if (!("stoppedAt" in solution)) return solution;
  const { stoppedAt, isFinite } = solution, square = openingsOf(network).length ** 2;
  // the loads stay as they are: only the network is asked
  const loads = { re: radiation.re.slice(stoppedAt * square, (stoppedAt + 1) * square), im: radiation.im.slice(stoppedAt * square, (stoppedAt + 1) * square) };
  const isSolvableAt = (frequency: number): boolean => !("stoppedAt" in solveOrStop(network, drive, Float64Array.of(frequency), air, loads));
  throw noSolution(network, frequencies[stoppedAt]!, { isFinite, isSolvableAt });
}

/** Where there was no solution. */
interface Stop {
  /** place of the frequency, no unit */
  readonly stoppedAt: number;
  /** false where numbers became too large to be calculated with */
  readonly isFinite: boolean;
}

/** Solves as `solveNetwork` does, or stops at the first frequency without a solution. */
function solveOrStop(network: Network, drive: Drive, frequencies: Float64Array, air: Air, radiation: RadiationMatrix): NetworkSolution | Stop {
  checkNetwork(network);
  const plan = compile(network, air);
  const { nodes, ducts, lumped, openings, volumes, drivers, wiring } = plan;
  const n = frequencies.length, m = openings.length, count = drivers.length;
  if (radiation.re.length !== n * m * m || radiation.im.length !== n * m * m) {
    throw new InputError({ where: "solveNetwork.radiation", came: `${radiation.re.length} and ${radiation.im.length} values`, expected: `${n * m * m} are expected, a full matrix of ${m} openings at each of ${n} frequencies` });
  }
  for (let f = 0; f < n; f++) {
    if (!(frequencies[f]! > 0 && Number.isFinite(frequencies[f]!))) throw new InputError({ where: "solveNetwork.frequencies", came: `${frequencies[f]} Hz at place ${f + 1}`, expected: "positive frequencies are expected" });
  }
  const size = nodes.length + ducts.length + lumped.length + m + 2 * count;
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
    drivers: network.drivers.map((d) => d.name),
    velocityRe: new Float64Array(count * n),
    velocityIm: new Float64Array(count * n),
    coilCurrentRe: new Float64Array(count * n),
    coilCurrentIm: new Float64Array(count * n),
    currentRe: new Float64Array(n),
    currentIm: new Float64Array(n),
  };
  // flows are solved for as pressures, currents as force per cone area, so that pivots compare like with like
  const flowScale = (air.density * air.soundSpeed) / drivers[0]!.Sd;
  const ductAt = nodes.length, lumpedAt = ductAt + ducts.length, openingAt = lumpedAt + lumped.length, velocityAt = openingAt + m, currentAt = velocityAt + count;
  const coil = new Float64Array(2 * count), medium = new Float64Array(4);

  const voltageScale = drivers[0]!.parameters.Bl / (drivers[0]!.Sd * drivers[0]!.parameters.Re);
  const addVoltage = (sum: SignedSum, row: number): void => {
    for (let t = 0; t < sum.driver.length; t++) {
      const d = sum.driver[t]!, sign = sum.sign[t]! * voltageScale, { perVelocity, perCurrent, parameters } = drivers[d]!;
      ar[row + currentAt + d]! += sign * coil[2 * d]! * perCurrent;
      ai[row + currentAt + d]! += sign * coil[2 * d + 1]! * perCurrent;
      ar[row + velocityAt + d]! += sign * parameters.Bl * perVelocity;
    }
  };
  const addCurrent = (sum: SignedSum, row: number, scale: number): void => {
    for (let t = 0; t < sum.driver.length; t++) {
      const d = sum.driver[t]!;
      ar[row + currentAt + d]! += sum.sign[t]! * scale * drivers[d]!.perCurrent;
    }
  };

  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!;
    ar.fill(0);
    ai.fill(0);
    br.fill(0);
    bi.fill(0);

    for (const volume of volumes) {
      const at = volume.node * size + volume.node;
      if (volume.fill === undefined) {
        ai[at]! += (flowScale * omega * volume.volume) / (air.density * air.soundSpeed * air.soundSpeed);
      } else {
        // j V k / z: the compliance of the filled air
        fillConstants(omega, air, volume.fill, medium, 0);
        const zz = medium[2]! ** 2 + medium[3]! ** 2, v = flowScale * volume.volume;
        ar[at]! -= (v * (medium[1]! * medium[2]! - medium[0]! * medium[3]!)) / zz;
        ai[at]! += (v * (medium[0]! * medium[2]! + medium[1]! * medium[3]!)) / zz;
      }
    }
    for (let d = 0; d < ducts.length; d++) {
      const duct = ducts[d]!, unknown = ductAt + d;
      cascadeChain(duct.compiled, omega, air, chain);
      // flow balance: C p2 + D U2 leaves the near node, U2 enters the far node
      const near = duct.from * size, far = duct.to * size, row = unknown * size;
      ar[far + unknown]! -= 1;
      const a0 = chain[0]!, a1 = chain[1]!, b0 = chain[2]!, b1 = chain[3]!, c0 = chain[4]!, c1 = chain[5]!, d0 = chain[6]!, d1 = chain[7]!;
      if ((a0 * a0 + a1 * a1) * (d0 * d0 + d1 * d1) > 1e8) {
        // a duct that takes nearly all: A D - B C = 1 is lost in the digits of A D, so it is put in by hand, and B is far from zero
        const bb = b0 * b0 + b1 * b1, aa = a0 * a0 + a1 * a1;
        // (D p1 - p2) / B leaves the near node
        ar[near + duct.from]! += (flowScale * (d0 * b0 + d1 * b1)) / bb;
        ai[near + duct.from]! += (flowScale * (d1 * b0 - d0 * b1)) / bb;
        ar[near + duct.to]! -= (flowScale * b0) / bb;
        ai[near + duct.to]! += (flowScale * b1) / bb;
        // p2 + (B / A) U2 - p1 / A = 0
        ar[row + duct.to]! += 1;
        ar[row + unknown]! += (b0 * a0 + b1 * a1) / aa / flowScale;
        ai[row + unknown]! += (b1 * a0 - b0 * a1) / aa / flowScale;
        ar[row + duct.from]! -= a0 / aa;
        ai[row + duct.from]! += a1 / aa;
        continue;
      }
      ar[near + duct.to]! += flowScale * c0;
      ai[near + duct.to]! += flowScale * c1;
      ar[near + unknown]! += d0;
      ai[near + unknown]! += d1;
      // p1 - A p2 - B U2 = 0
      ar[row + duct.from]! += 1;
      ar[row + duct.to]! -= a0;
      ai[row + duct.to]! -= a1;
      ar[row + unknown]! -= b0 / flowScale;
      ai[row + unknown]! -= b1 / flowScale;
    }
    for (let l = 0; l < lumped.length; l++) {
      const element = lumped[l]!, unknown = lumpedAt + l, row = unknown * size;
      ar[element.from * size + unknown]! += 1;
      ar[element.to * size + unknown]! -= 1;
      ar[row + element.from]! += 1;
      ar[row + element.to]! -= 1;
      ar[row + unknown]! -= element.resistance / flowScale;
      ai[row + unknown]! -= (omega * element.mass - (element.compliance === undefined ? 0 : 1 / (omega * element.compliance))) / flowScale;
    }
    for (let o = 0; o < m; o++) {
      const opening = openings[o]!, unknown = openingAt + o, row = unknown * size;
      ar[opening.node * size + unknown]! += 1;
      ar[row + opening.node]! += 1;
      const load = opening.load;
      if (load.kind === "series") {
        ar[row + unknown]! -= load.resistance / flowScale;
        ai[row + unknown]! -= (omega * load.mass) / flowScale;
      }
      if (load.kind === "parallel") {
        // R jX / (R + jX)
        const x = omega * load.mass, r = load.resistance, q = r * r + x * x;
        ar[row + unknown]! -= (r * x * x) / q / flowScale;
        ai[row + unknown]! -= (r * r * x) / q / flowScale;
      } else if (load.kind === "space" || opening.isBareLeak) {
        const at = (f * m + o) * m;
        for (let j = 0; j < m; j++) {
          ar[row + openingAt + j]! -= radiation.re[at + j]! / flowScale;
          ai[row + openingAt + j]! -= radiation.im[at + j]! / flowScale;
        }
      }
    }
    for (let d = 0; d < count; d++) {
      const { parameters: q, front, back, Sd } = drivers[d]!;
      coilImpedance(q, omega, pair);
      coil[2 * d] = pair[0]!;
      coil[2 * d + 1] = pair[1]!;
      const v = velocityAt + d, i = currentAt + d, row = v * size;
      // Sd v leaves the cone into the front node and comes from the back node
      ar[front * size + v]! -= 1;
      ar[back * size + v]! += 1;
      // Bl i / Sd - Zm v / Sd - (p_front - p_back) = 0
      const area = Sd * Sd * flowScale;
      ar[row + i]! += 1;
      ar[row + v]! -= q.Rms / area;
      ai[row + v]! -= (omega * q.Mms - 1 / (omega * q.Cms)) / area;
      ar[row + front]! -= 1;
      ar[row + back]! += 1;
    }
    // electrical side: voltages (Ze i + Bl v) and currents of the drivers, as pressures
    let row = currentAt * size;
    for (const sum of wiring.equalVoltages) {
      addVoltage(sum, row);
      row += size;
    }
    for (const sum of wiring.equalCurrents) {
      addCurrent(sum, row, 1);
      row += size;
    }
    addVoltage(wiring.voltage, row);
    addCurrent(wiring.current, row, drive.sourceResistance * voltageScale);
    br[row / size] = drive.voltage * voltageScale;

    if (!solveComplexInPlace(size, ar, ai, br, bi)) return { stoppedAt: f, isFinite: ar.every(Number.isFinite) && ai.every(Number.isFinite) };

    for (let i = 0; i < nodes.length; i++) {
      solution.pressureRe[i * n + f] = br[i]!;
      solution.pressureIm[i * n + f] = bi[i]!;
    }
    for (let o = 0; o < m; o++) {
      solution.flowRe[o * n + f] = br[openingAt + o]! / flowScale;
      solution.flowIm[o * n + f] = bi[openingAt + o]! / flowScale;
    }
    for (let d = 0; d < count; d++) {
      const at = d * n + f, v = velocityAt + d, i = currentAt + d, { perVelocity, perCurrent } = drivers[d]!;
      solution.velocityRe[at] = br[v]! * perVelocity;
      solution.velocityIm[at] = bi[v]! * perVelocity;
      solution.coilCurrentRe[at] = br[i]! * perCurrent;
      solution.coilCurrentIm[at] = bi[i]! * perCurrent;
    }
    for (let t = 0; t < wiring.current.driver.length; t++) {
      const at = wiring.current.driver[t]! * n + f;
      solution.currentRe[f]! += wiring.current.sign[t]! * solution.coilCurrentRe[at]!;
      solution.currentIm[f]! += wiring.current.sign[t]! * solution.coilCurrentIm[at]!;
    }
  }
  return solution;
}

interface Plan {
  readonly nodes: readonly string[];
  readonly ducts: readonly { readonly from: number; readonly to: number; readonly compiled: CompiledDuct }[];
  readonly lumped: readonly (Pick<LumpedElement, "mass" | "resistance" | "compliance"> & { readonly from: number; readonly to: number })[];
  readonly openings: readonly (Pick<OpeningElement, "name" | "load"> & { readonly node: number; readonly isBareLeak: boolean })[];
  readonly volumes: readonly (Pick<VolumeElement, "volume" | "fill"> & { readonly node: number })[];
  readonly drivers: readonly PlacedDriver[];
  readonly wiring: CompiledWiring;
}

interface PlacedDriver {
  readonly parameters: MotorParameters;
  readonly front: number;
  readonly back: number;
  readonly Sd: number;
  /** m/s per unknown */
  readonly perVelocity: number;
  /** A per unknown */
  readonly perCurrent: number;
}

const pair = new Float64Array(2);

/** Names to places, once for all frequencies. */
function compile(network: Network, air: Air): Plan {
  const nodes = nodesOf(network);
  const place = new Map(nodes.map((name, i) => [name, i]));
  const at = (name: string): number => place.get(name)!;
  const ducts: { from: number; to: number; compiled: CompiledDuct }[] = [];
  const lumped: Plan["lumped"][number][] = [];
  const volumes: Plan["volumes"][number][] = [];
  for (const e of network.elements) {
    if (e.kind === "duct") ducts.push({ from: at(e.from), to: at(e.to), compiled: compileDuct(e.sections) });
    else if (e.kind === "lumped") lumped.push({ from: at(e.from), to: at(e.to), mass: e.mass, resistance: e.resistance, compliance: e.compliance });
    else if (e.kind === "volume") volumes.push({ node: at(e.node), volume: e.volume, fill: e.fill });
  }
  const openings = openingsOf(network).map((o) => ({ name: o.name, node: at(o.node), load: o.load, isBareLeak: isBareLeak(o) }));
  const flowScale = (air.density * air.soundSpeed) / network.drivers[0]!.driver.Sd;
  const drivers = network.drivers.map(({ driver, front, back }) => ({
    parameters: driver,
    front: at(front),
    back: at(back),
    Sd: driver.Sd,
    perVelocity: 1 / (driver.Sd * flowScale),
    perCurrent: driver.Sd / driver.Bl,
  }));
  return { nodes, ducts, lumped, openings, volumes, drivers, wiring: compileWiring(network.wiring, network.drivers) };
}
