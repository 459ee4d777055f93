import { type Air, standardAir } from "../air/air.js";
import { compileDuct } from "../acoustics/cascade.js";
import { type Network, nodesOf, openingsOf } from "../acoustics/network.js";
import type { Drive } from "../acoustics/solve.js";
import type { Design } from "../enclosure/design.js";
import { InputError } from "../errors.js";
import { type Curve, levelDb, makeCurve, type Quantity, type CurveUnit } from "../math/curve.js";
import type { Note } from "../notes.js";
import { type Space, spaceNotes } from "../space/space.js";
import { coneGroups } from "./cones.js";
import { hear, type Situation } from "./far-pressure.js";
import { predictionNotes } from "./prediction-notes.js";
import { phaseAndDelay } from "./phase.js";
import { resultsAt } from "./results-at.js";

/** Under what a design is predicted, SI units. */
export interface PredictOptions {
  readonly drive: Drive;
  readonly space: Space;
  /** from the openings to the listener, m */
  readonly distance: number;
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** 20 degrees Celsius when missing */
  readonly air?: Air;
}

/** A cone of a prediction, or several that move alike. */
export interface PredictedCone {
  /** names of the drivers in words, such as "left, right" */
  readonly name: string;
  /** names of the drivers in the network */
  readonly drivers: readonly string[];
  /** linear excursion of the drivers, one way, m peak; undefined when not given */
  readonly Xmax: number | undefined;
  /** towards the front face, m RMS, complex; of the first of the drivers */
  readonly displacement: Curve;
  /** towards the front face, m/s RMS, complex */
  readonly velocity: Curve;
  /** one way, peak of a sine, m, n values */
  readonly excursionPeak: Float64Array;
  /** front minus back, Pa RMS, complex */
  readonly pressureAcross: Curve;
}

/** One opening of a prediction. */
export interface PredictedOpening {
  readonly name: string;
  /** m^2; undefined for a leak */
  readonly area: number | undefined;
  /** out of the opening, m^3/s RMS */
  readonly volumeVelocity: Curve;
  /** true for the face of a cone or membrane, past which no air flows */
  readonly isFace: boolean;
  /** mean over the narrowest area that its air passes (the throat of a port with rounded ends), peak, m/s, n values; undefined without an area */
  readonly airSpeedPeak: Float64Array | undefined;
}

/**
 * A design in a space under a drive, over frequency; n values each. The object is frozen, but arrays of numbers cannot be: their values are not to be changed, as
 * plots, tables and comparisons read the same arrays later; take a copy (`values.slice()`) to work on.
 */
export interface Prediction {
  readonly design: Design;
  readonly drive: Drive;
  readonly space: Space;
  /** m */
  readonly distance: number;
  /** the air it was solved in */
  readonly air: Air;
  /** Hz */
  readonly frequencies: Float64Array;
  /** at the listener, Pa RMS, complex, travel time removed */
  readonly pressure: Curve;
  /** dB re 20 uPa; minus infinity where no sound reaches the listener */
  readonly level: Float64Array;
  /** of the pressure at the listener, rad, unwrapped, travel time removed; without meaning where the level is minus infinity */
  readonly phase: Float64Array;
  /** of the pressure at the listener, s, travel time removed; without meaning where the level is minus infinity */
  readonly groupDelay: Float64Array;
  /** at the terminals, ohm, complex */
  readonly impedance: Curve;
  /** one for each driver that moves differently, in the order of the network */
  readonly cones: readonly PredictedCone[];
  /** of the first driver, towards the front face, m RMS, complex; all drivers are in `cones` */
  readonly coneDisplacement: Curve;
  /** of the cone that moves farthest at each frequency, one way, peak of a sine, m */
  readonly excursionPeak: Float64Array;
  /** of the first driver, front minus back, Pa RMS, complex; all drivers are in `cones` */
  readonly pressureAcrossCone: Curve;
  readonly openings: readonly PredictedOpening[];
  readonly notes: readonly Note[];
}

/**
 * Predicts a design: level at the listener (dB re 20 uPa), unwrapped phase (rad), group delay (s), impedance (ohm), excursion (m peak),
 * air speed (m/s peak) and pressure across the cone (Pa RMS). The model is linear; what exceeds a limit of the driver is said in the notes.
 *
 * @throws InputError  when the distance, the voltage or a frequency is out of range
 * @throws SolveError  where no finite solution exists, and why
 */
export function predictDesign(design: Design, options: PredictOptions): Prediction {
  const { drive, space, distance, frequencies, air = standardAir } = options;
  checkOptions(options);
  const situation: Situation = { design, drive, space, distance, air };
  const n = frequencies.length;
  const results = resultsAt(situation, frequencies);
  const { solution: s, re, im } = results.heard;
  const curve = (name: string, quantity: Quantity, unit: CurveUnit, r: Float64Array, i: Float64Array): Curve =>
    makeCurve({ name, quantity, unit, frequencies, re: r, im: i, phaseKnown: true });

  const pressure = curve(design.name, "sound pressure", "Pa", re, im);
  const openings = openingsOf(design.network).map((opening, o) => {
    const ur = s.flowRe.slice(o * n, (o + 1) * n), ui = s.flowIm.slice(o * n, (o + 1) * n);
    const area = opening.area;
    return Object.freeze({
      name: opening.name,
      area,
      isFace: opening.massInDriver,
      volumeVelocity: curve(opening.name, "volume velocity", "m^3/s", ur, ui),
      airSpeedPeak: results.airSpeeds[o],
    });
  });
  const { phase, groupDelay, inverted, followed } = phaseAndDelay((at) => hear(situation, at), frequencies, { halvings: halvingsFor(design.network, n) });
  const cones = coneGroups(design.network, results.cones).map(({ name, drivers, place, driver }): PredictedCone => {
    const { displacementRe, displacementIm, excursionPeak, acrossRe, acrossIm } = results.cones[place]!;
    return Object.freeze({
      name,
      drivers,
      Xmax: driver.Xmax,
      displacement: curve(name, "cone displacement", "m", displacementRe, displacementIm),
      velocity: curve(name, "cone velocity", "m/s", s.velocityRe.slice(place * n, (place + 1) * n), s.velocityIm.slice(place * n, (place + 1) * n)),
      excursionPeak,
      pressureAcross: curve(name, "pressure difference", "Pa", acrossRe, acrossIm),
    });
  });
  const first = results.cones[0]!;
  const result = {
    design,
    drive,
    space,
    distance,
    air,
    frequencies,
    pressure,
    level: levelDb(pressure),
    phase,
    groupDelay,
    impedance: curve(design.name, "electrical impedance", "ohm", results.impedanceRe, results.impedanceIm),
    cones: Object.freeze(cones),
    coneDisplacement: curve(design.name, "cone displacement", "m", first.displacementRe, first.displacementIm),
    excursionPeak: results.excursionPeak,
    pressureAcrossCone: curve(design.name, "pressure difference", "Pa", first.acrossRe, first.acrossIm),
    openings: Object.freeze(openings),
  };
  return Object.freeze({ ...result, notes: Object.freeze([...design.notes, ...spaceNotes(space, openingsOf(design.network), frequencies, air), ...predictionNotes(result, { inverted, followed })]) });
}

/**
 * How many intervals may be halved to follow the phase, no unit: 4000 and ten for each of n frequencies, but in a large network no more than what takes a few
 * seconds, or as long as the prediction itself. Work counts as pieces of duct, and a matrix of 10 unknowns as one of them (measured).
 */
function halvingsFor(network: Network, n: number): number {
  let pieces = 1;
  for (const e of network.elements) if (e.kind === "duct") pieces += compileDuct(e.sections).count;
  const unknowns = nodesOf(network).length + network.elements.length + 2 * network.drivers.length;
  return Math.min(4000 + 10 * n, Math.max(2 * n, Math.round(2e6 / (pieces + unknowns ** 3 / 1000))));
}

function checkOptions({ drive, distance, frequencies }: PredictOptions): void {
  if (!(distance > 0 && Number.isFinite(distance))) {
    throw new InputError({ where: "predict.distance", came: `${distance} m`, expected: "a positive distance is expected" });
  }
  if (!(drive.voltage > 0 && Number.isFinite(drive.voltage))) {
    throw new InputError({ where: "predict.drive", came: `${drive.voltage} V`, expected: "a positive voltage is expected" });
  }
  if (!(drive.sourceResistance >= 0 && Number.isFinite(drive.sourceResistance))) {
    throw new InputError({ where: "predict.sourceResistance", came: `${drive.sourceResistance} ohm`, expected: "zero or a positive resistance is expected" });
  }
  if (frequencies.length === 0) {
    throw new InputError({ where: "predict.frequencies", came: "no frequency", expected: "at least one is expected" });
  }
  for (let i = 0; i < frequencies.length; i++) {
    const f = frequencies[i]!;
    if (!(f >= 0.01 && f <= 100_000) || (i > 0 && f <= frequencies[i - 1]!)) {
      throw new InputError({ where: "predict.frequencies", came: `${f} Hz at place ${i + 1}`, expected: "frequencies from 0.01 Hz to 100 kHz in ascending order are expected" });
    }
  }
}
