import type { AirGrid, EdgeCells } from "./air-grid.js";
import { movingCone, type ConeDriver } from "./moving-cone.js";
import type { WallLoss } from "./wall-loss.js";

/** An opening in the wall: resistance parallel to a mass, the same specific values at every point of the edge. */
export interface Opening {
  /** name of the edge; no unit */
  readonly edge: string;
  /** acoustic resistance of the whole opening, Pa s/m^3; 0 = pressure release */
  readonly resistance: number;
  /** acoustic mass of the whole opening parallel to it, kg/m^4; left out = resistance alone */
  readonly mass?: number;
}

/** What a run needs. */
export interface MarchOptions {
  /** density of air, kg/m^3 */
  readonly density: number;
  /** speed of sound, m/s */
  readonly speed: number;
  /** loss at the walls; left out = lossless */
  readonly loss?: WallLoss;
  /** openings; their volume velocities are recorded in this order */
  readonly openings: readonly Opening[];
  /** driver and the edges that its two faces lie on; left out = no driver */
  readonly cone?: { readonly driver: ConeDriver; readonly front: string; readonly back: string };
  /** time to run, s */
  readonly duration: number;
  /** drive voltage at a time in s, V */
  readonly voltage: (time: number) => number;
  /** pressure at the start in each cell, Pa; left out = silence */
  readonly startPressure?: Float64Array;
  /** called now and then with the part done, 0 to 1 (no unit) */
  readonly progress?: (part: number) => void;
}

/** Time series of a run: voltage at n dt, all else at (n + 1/2) dt. */
export interface MarchResult {
  /** time step, s */
  readonly timeStep: number;
  /** drive, V */
  readonly voltage: Float64Array;
  /** coil current, A */
  readonly current: Float64Array;
  /** cone velocity towards the front, m/s */
  readonly velocity: Float64Array;
  /** volume velocity out of each opening, m^3/s */
  readonly flow: readonly Float64Array[];
  /** field energy at 64 equally spaced times and at the end, J (without loss and driver: constant up to what the openings take) */
  readonly energy: Float64Array;
}

/** Largest stable time step times `safety`, s: from the bound on the largest eigenvalue by pairs of neighbouring cells (Gershgorin). */
export function stableTimeStep(grid: AirGrid, speed: number, options: { openEdges: readonly string[]; safety?: number }): number {
  const rate = new Float64Array(grid.volume.length);
  for (let f = 0; f < grid.left.length; f++) {
    const conductance = speed * speed * grid.area[f]! / grid.length[f]!;
    rate[grid.left[f]!]! += conductance / grid.volume[grid.left[f]!]!;
    rate[grid.right[f]!]! += conductance / grid.volume[grid.right[f]!]!;
  }
  for (const edge of options.openEdges) {
    const { cell, area, distance } = edgeCells(grid, edge);
    for (let k = 0; k < cell.length; k++) rate[cell[k]!]! += speed * speed * area[k]! / distance[k]! / grid.volume[cell[k]!]!;
  }
  let largest = Math.max(...rate);
  for (let f = 0; f < grid.left.length; f++) largest = Math.max(largest, rate[grid.left[f]!]! + rate[grid.right[f]!]!);
  return (options.safety ?? 0.99) * 2 / Math.sqrt(largest);
}

function edgeCells(grid: AirGrid, edge: string): EdgeCells {
  const found = grid.edges.get(edge);
  if (!found) throw new Error(`outline: no edge "${edge}"; one of ${[...grid.edges.keys()].join(", ")} is expected.`);
  return found;
}

/** Velocities at an opening, one pair a piece: through the edge, and through the mass branch. */
function openingState(grid: AirGrid, opening: Opening, options: { density: number; timeStep: number }) {
  const at = edgeCells(grid, opening.edge), count = at.cell.length;
  const whole = at.area.reduce((sum, area) => sum + area, 0);
  const r = opening.resistance * whole * options.timeStep / 2, mass = opening.mass === undefined ? Infinity : opening.mass * whole;
  const share = mass === Infinity ? 0 : r / (mass + r), keep = mass === Infinity ? 1 : (mass - r) / (mass + r);
  return { at, count, r, share, keep, inertia: at.distance.map((distance) => options.density * distance), through: new Float64Array(count), branch: new Float64Array(count) };
}

/**
 * Sound field of a grid in time: pressure in cells, flow through openings, leapfrog; cone and openings advanced implicitly in the same steps.
 *
 * Times in s, pressures in Pa, flows in m^3/s. One long loop kept whole on purpose.
 * @remarks Second order in cell size and time step away from re-entrant corners. Passive, and stable below `stableTimeStep`, which it uses.
 * Source: staggered leapfrog scheme of Yee 1966 in its acoustic form on cut cells; implicit parts derived here.
 */
export function march(grid: AirGrid, options: MarchOptions): MarchResult {
  const { density, speed, loss } = options;
  const timeStep = stableTimeStep(grid, speed, { openEdges: options.openings.map((opening) => opening.edge) });
  const steps = Math.ceil(options.duration / timeStep), cells = grid.volume.length, faces = grid.left.length;
  const { left, right } = grid;
  const pressure = options.startPressure ? Float64Array.from(options.startPressure) : new Float64Array(cells);
  const inflow = new Float64Array(cells), flow = new Float64Array(faces);
  const push = grid.area.map((area, f) => timeStep * area / (density * grid.length[f]!));
  const stiffness = grid.volume.map((volume) => density * speed * speed / volume);

  // loss: states q with dq/dt = rate (p - q), trapezoidal, solved together with the pressure of their cell
  const terms = 4; // written out below: this loop takes most of the time
  if (loss && loss.rate.length > terms) throw new Error(`march: ${loss.rate.length} relaxation terms; at most ${terms} are expected.`);
  const half = Float64Array.from({ length: terms }, (_, k) => (loss?.rate[k] ?? 0) * timeStep / 2);
  const pull = Float64Array.from({ length: terms }, (_, k) => (loss?.strength[k] ?? 0) * timeStep / (1 + half[k]!));
  const pullSum = pull.reduce((sum, one) => sum + one, 0);
  const keepPressure = (1 - pullSum / 2) / (1 + pullSum / 2);
  const gain = stiffness.map((one) => one * timeStep / (1 + pullSum / 2)), pullScaled = pull.map((one) => one / (1 + pullSum / 2));
  const keepState = half.map((one) => (1 - one) / (1 + one)), feedState = half.map((one) => one / (1 + one));
  const [pull0, pull1, pull2, pull3] = pullScaled as unknown as [number, number, number, number];
  const [keep0, keep1, keep2, keep3] = keepState as unknown as [number, number, number, number];
  const [feed0, feed1, feed2, feed3] = feedState as unknown as [number, number, number, number];
  const memory0 = new Float64Array(cells), memory1 = new Float64Array(cells), memory2 = new Float64Array(cells), memory3 = new Float64Array(cells);

  const openings = options.openings.map((opening) => openingState(grid, opening, { density, timeStep }));
  const cone = options.cone, front = cone && edgeCells(grid, cone.front), back = cone && edgeCells(grid, cone.back);
  const areaOf = (at: EdgeCells): number => at.area.reduce((sum, area) => sum + area, 0);
  const scaleFront = cone ? cone.driver.Sd / areaOf(front!) : 0, scaleBack = cone ? cone.driver.Sd / areaOf(back!) : 0;
  let airMass = 0; // the air between the wall and the middle of its cell moves with the cone
  for (const at of [front, back]) if (at) for (let k = 0; k < at.cell.length; k++) airMass += density * at.area[k]! * at.distance[k]!;
  const motion = cone && movingCone(cone.driver, { timeStep, airMass });

  const voltage = new Float64Array(steps), current = new Float64Array(steps), velocity = new Float64Array(steps);
  const out = openings.map(() => new Float64Array(steps));
  const energy: number[] = [];
  const before = new Float64Array(cells);
  const energyEvery = Math.max(1, Math.floor(steps / 64));
  for (let n = 0; n < steps; n++) {
    const takeEnergy = n % energyEvery === 0 || n === steps - 1;
    if (takeEnergy) before.set(pressure);
    for (let f = 0; f < faces; f++) {
      const a = left[f]!, b = right[f]!;
      const q = flow[f]! + push[f]! * (pressure[a]! - pressure[b]!);
      flow[f] = q;
      inflow[a]! -= q;
      inflow[b]! += q;
    }
    for (let o = 0; o < openings.length; o++) {
      const { at, count, r, share, keep, inertia, through, branch } = openings[o]!;
      let sum = 0;
      for (let k = 0; k < count; k++) {
        const v = through[k]!, w = branch[k]!, m = inertia[k]!, cell = at.cell[k]!;
        // m (v' - v) = dt p - r (v' + v - w' - w), w' = keep w + share (v' + v)
        const next = (m * v + timeStep * pressure[cell]! - r * (v - w) + r * (keep * w + share * v)) / (m + r - r * share);
        branch[k] = keep * w + share * (next + v);
        through[k] = next;
        const q = next * at.area[k]!;
        inflow[cell]! -= q;
        sum += q;
      }
      out[o]![n] = sum;
    }
    voltage[n] = options.voltage(n * timeStep);
    if (motion) {
      let force = 0;
      for (let k = 0; k < front!.cell.length; k++) force += scaleFront * front!.area[k]! * pressure[front!.cell[k]!]!;
      for (let k = 0; k < back!.cell.length; k++) force -= scaleBack * back!.area[k]! * pressure[back!.cell[k]!]!;
      motion.step(voltage[n]!, force);
      const v = motion.state[2]!;
      current[n] = motion.state[0]!;
      velocity[n] = v;
      for (let k = 0; k < front!.cell.length; k++) inflow[front!.cell[k]!]! += scaleFront * front!.area[k]! * v;
      for (let k = 0; k < back!.cell.length; k++) inflow[back!.cell[k]!]! -= scaleBack * back!.area[k]! * v;
    }
    for (let i = 0; i < cells; i++) {
      const old = pressure[i]!;
      const q0 = memory0[i]!, q1 = memory1[i]!, q2 = memory2[i]!, q3 = memory3[i]!;
      const next = keepPressure * old + gain[i]! * inflow[i]! + pull0 * q0 + pull1 * q1 + pull2 * q2 + pull3 * q3;
      const both = next + old;
      memory0[i] = keep0 * q0 + feed0 * both;
      memory1[i] = keep1 * q1 + feed1 * both;
      memory2[i] = keep2 * q2 + feed2 * both;
      memory3[i] = keep3 * q3 + feed3 * both;
      pressure[i] = next;
      inflow[i] = 0;
    }
    if (takeEnergy) energy.push(fieldEnergy(grid, { before, after: pressure, flow, density, speed, openings }));
    if (options.progress && n % 4096 === 0) options.progress(n / steps);
  }
  return { timeStep, voltage, current, velocity, flow: out, energy: Float64Array.from(energy) };
}

/** Energy that the leapfrog scheme conserves exactly, J: product of the pressures before and after, plus the motion between them. */
function fieldEnergy(grid: AirGrid, state: { before: Float64Array; after: Float64Array; flow: Float64Array; density: number; speed: number; openings: readonly { at: EdgeCells; inertia: Float64Array; through: Float64Array }[] }): number {
  let energy = 0;
  for (let i = 0; i < grid.volume.length; i++) energy += state.before[i]! * state.after[i]! * grid.volume[i]! / (2 * state.density * state.speed ** 2);
  for (let f = 0; f < grid.left.length; f++) energy += state.flow[f]! ** 2 * state.density * grid.length[f]! / (2 * grid.area[f]!);
  for (const { at, inertia, through } of state.openings) for (let k = 0; k < at.cell.length; k++) energy += at.area[k]! * inertia[k]! * through[k]! ** 2 / 2;
  return energy;
}
