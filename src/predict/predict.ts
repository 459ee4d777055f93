import { type Air, standardAir } from "../air/air.js";
import { openingsOf } from "../acoustics/network.js";
import type { Drive } from "../acoustics/solve.js";
import type { Design } from "../enclosure/design.js";
import { InputError } from "../errors.js";
import { type Curve, levelDb, makeCurve, type Quantity, type CurveUnit } from "../math/curve.js";
import type { Note } from "../notes.js";
import { type Space, spaceNotes } from "../space/space.js";
import { hear, type Situation } from "./far-pressure.js";
import { predictionNotes } from "./prediction-notes.js";
import { phaseAndDelay } from "./phase.js";

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

/** One opening of a prediction. */
export interface PredictedOpening {
  readonly name: string;
  /** m^2; undefined for a leak */
  readonly area: number | undefined;
  /** out of the opening, m^3/s RMS */
  readonly volumeVelocity: Curve;
  /** mean over the area, peak, m/s, n values; undefined without an area */
  readonly airSpeedPeak: Float64Array | undefined;
}

/** A design in a space under a drive, over frequency; n values each. */
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
  /** dB re 20 uPa */
  readonly level: Float64Array;
  /** of the pressure at the listener, rad, unwrapped, travel time removed */
  readonly phase: Float64Array;
  /** of the pressure at the listener, s, travel time removed */
  readonly groupDelay: Float64Array;
  /** at the terminals, ohm, complex */
  readonly impedance: Curve;
  /** towards the front face, m RMS, complex */
  readonly coneDisplacement: Curve;
  /** one way, peak of a sine, m */
  readonly excursionPeak: Float64Array;
  /** front minus back, Pa RMS, complex */
  readonly pressureAcrossCone: Curve;
  readonly openings: readonly PredictedOpening[];
  readonly notes: readonly Note[];
}

/**
 * Predicts a design: level at the listener (dB re 20 uPa), unwrapped phase (rad), group delay (s), impedance (ohm), excursion (m peak),
 * air speed (m/s peak) and pressure across the cone (Pa RMS). The model is linear; what exceeds a limit of the driver is said in the notes.
 *
 * @throws InputError  when the distance, the voltage or a frequency is out of range
 * @throws SolveError  where no finite solution exists
 */
export function predictDesign(design: Design, options: PredictOptions): Prediction {
  const { drive, space, distance, frequencies, air = standardAir } = options;
  checkOptions(options);
  const situation: Situation = { design, drive, space, distance, air };
  const n = frequencies.length;
  const { solution: s, re, im } = hear(situation, frequencies);
  const curve = (name: string, quantity: Quantity, unit: CurveUnit, r: Float64Array, i: Float64Array): Curve =>
    makeCurve({ name, quantity, unit, frequencies, re: r, im: i, phaseKnown: true });

  const zr = new Float64Array(n), zi = new Float64Array(n), xr = new Float64Array(n), xi = new Float64Array(n), peak = new Float64Array(n);
  const dr = new Float64Array(n), di = new Float64Array(n);
  // cone results are those of the first driver; further drivers are in `cones`
  const first = design.network.drivers[0]!;
  const front = s.nodes.indexOf(first.front) * n, back = s.nodes.indexOf(first.back) * n;
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!;
    // admittance, then what stands at the terminals, without source and leads
    const cr = s.currentRe[f]! / drive.voltage, ci = s.currentIm[f]! / drive.voltage, cc = cr * cr + ci * ci;
    zr[f] = cr / cc - drive.sourceResistance;
    zi[f] = -ci / cc;
    xr[f] = s.velocityIm[f]! / omega;
    xi[f] = -s.velocityRe[f]! / omega;
    peak[f] = Math.SQRT2 * Math.hypot(xr[f]!, xi[f]!);
    dr[f] = s.pressureRe[front + f]! - s.pressureRe[back + f]!;
    di[f] = s.pressureIm[front + f]! - s.pressureIm[back + f]!;
  }
  const pressure = curve(design.name, "sound pressure", "Pa", re, im);
  const openings = openingsOf(design.network).map((opening, o) => {
    const ur = s.flowRe.slice(o * n, (o + 1) * n), ui = s.flowIm.slice(o * n, (o + 1) * n);
    const area = opening.area;
    return Object.freeze({
      name: opening.name,
      area,
      volumeVelocity: curve(opening.name, "volume velocity", "m^3/s", ur, ui),
      airSpeedPeak: area === undefined ? undefined : ur.map((u, f) => (Math.SQRT2 * Math.hypot(u, ui[f]!)) / area),
    });
  });
  const { phase, groupDelay, inverted, followed } = phaseAndDelay((at) => hear(situation, at), frequencies);
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
    impedance: curve(design.name, "electrical impedance", "ohm", zr, zi),
    coneDisplacement: curve(design.name, "cone displacement", "m", xr, xi),
    excursionPeak: peak,
    pressureAcrossCone: curve(design.name, "pressure difference", "Pa", dr, di),
    openings: Object.freeze(openings),
  };
  return Object.freeze({ ...result, notes: Object.freeze([...design.notes, ...spaceNotes(space, openingsOf(design.network), frequencies, air), ...predictionNotes(result, { inverted, followed })]) });
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
