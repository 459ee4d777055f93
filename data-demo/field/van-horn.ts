import { airGrid } from "./air-grid.js";
import { cutCells } from "./cut-cells.js";
import { march, type MarchResult, type Opening } from "./march.js";
import type { ConeDriver } from "./moving-cone.js";
import { airArea, edgeLength, type OutlineLoop } from "./outline.js";
import { fourierSums, quotient, type ComplexValues } from "./spectrum.js";
import { wallLoss } from "./wall-loss.js";

/** The invented box as drawn, and its nominal driver. */
export interface VanHorn {
  /** inner depth square to the fold plane, m */
  readonly depth: number;
  /** air outline, then bodies in it, m */
  readonly loops: readonly OutlineLoop[];
  /** nominal driver, SI */
  readonly driver: Omit<ConeDriver, "L2" | "R2">;
}

/** Air of the demo: density kg/m^3 and speed of sound m/s. */
export const demoAir = { density: 1.2041, speed: 343.2 } as const;

/** How the "real" build differs from the drawing. */
export const asBuilt = {
  /** resonance frequency over nominal; no unit */
  resonance: 1.04,
  /** electrical Q over nominal; no unit */
  electricalQ: 0.97,
  /** coil and eddy branch: H, H, ohm */
  coil: { Le: 4.5e-4, L2: 3.0e-4, R2: 5.0 },
  /** resistance of the leak at the throat end, Pa s/m^3 */
  leak: 1.2e6,
  /** wall loss over that of a smooth wide channel; no unit */
  lossFactor: 1.5,
} as const;

/** The driver as built, from the nominal one: resonance by compliance, electrical Q by force factor. */
export function builtDriver(nominal: VanHorn["driver"]): ConeDriver {
  const omega = 1 / Math.sqrt(nominal.Mms * nominal.Cms), built = omega * asBuilt.resonance;
  const electricalQ = omega * nominal.Mms * nominal.Re / nominal.Bl ** 2 * asBuilt.electricalQ;
  return { ...nominal, ...asBuilt.coil, Cms: 1 / (built * built * nominal.Mms), Bl: Math.sqrt(built * nominal.Mms * nominal.Re / electricalQ) };
}

/** Baffled circular piston as resistance (Pa s/m^3) parallel to mass (kg/m^4). Source: Beranek and Mellow, Acoustics, 2012, section 4.19; exact in the limit of low frequency. */
export function pistonLoad(area: number): { resistance: number; mass: number } {
  const radius = Math.sqrt(area / Math.PI);
  return { resistance: 128 * demoAir.density * demoAir.speed / (9 * Math.PI ** 2 * area), mass: 8 * demoAir.density / (3 * Math.PI ** 2 * radius) };
}

/** Mouth and leak (Pa s/m^3) of the box. */
export function vanHornOpenings(horn: VanHorn, leak: number = asBuilt.leak): Opening[] {
  const mouthArea = edgeLength(horn.loops, "mouth") * horn.depth;
  return [{ edge: "mouth", ...pistonLoad(mouthArea) }, { edge: "throat end", resistance: leak }];
}

/** A run of the box and its answers per volt. */
export interface VanHornField {
  /** time series of the run */
  readonly run: MarchResult;
  /** mouth area, m^2 */
  readonly mouthArea: number;
  /** number of cells; no unit */
  readonly cellCount: number;
  /** largest relative error of the fitted wall loss, 20 to 600 Hz; no unit */
  readonly lossError: number;
  /** sum of the squares over the last twentieth of the mouth's flow, over the whole; no unit */
  readonly rest: number;
  /** volume velocity out of the mouth and of the leak per volt, m^3/(s V), on frequencies in Hz */
  flowPerVolt(frequencies: Float64Array): { mouth: ComplexValues; leak: ComplexValues };
  /** impedance at the terminals, ohm, on frequencies in Hz */
  impedance(frequencies: Float64Array): ComplexValues;
}

/** Width of the exciting Gaussian pulse, s; its spectrum is 7 % of its peak at 1.8 kHz and below 1e-9 at 5 kHz. */
const pulseWidth = 2.0e-4;

/** The field of the box excited by a short voltage pulse; cell size m, duration s, leak Pa s/m^3 where it is not the usual one. */
export function solveVanHorn(horn: VanHorn, options: { size: number; duration: number; driver?: ConeDriver; leak?: number; progress?: (part: number) => void }): VanHornField {
  const grid = airGrid(cutCells(horn.loops, options.size), { depth: horn.depth });
  const air = airArea(horn.loops) * horn.depth, surface = edgeLength(horn.loops) * horn.depth + 2 * air / horn.depth;
  const loss = wallLoss({ radius: air / surface, factor: asBuilt.lossFactor, density: demoAir.density });
  const run = march(grid, {
    ...demoAir, loss, openings: vanHornOpenings(horn, options.leak), duration: options.duration, progress: options.progress,
    cone: { driver: options.driver ?? builtDriver(horn.driver), front: "cone front", back: "cone back" },
    voltage: (time) => Math.exp(-(((time - 6 * pulseWidth) / pulseWidth) ** 2) / 2),
  });
  const mouth = run.flow[0]!, last = mouth.length - Math.floor(mouth.length / 20);
  const squares = (values: Float64Array): number => values.reduce((sum, value) => sum + value * value, 0);
  const sums = (values: Float64Array, frequencies: Float64Array, offset: number): ComplexValues => fourierSums(values, frequencies, { timeStep: run.timeStep, offset });
  return {
    run, mouthArea: edgeLength(horn.loops, "mouth") * horn.depth, cellCount: grid.volume.length, lossError: loss.worst,
    rest: squares(mouth.subarray(last)) / squares(mouth),
    flowPerVolt(frequencies) {
      const drive = sums(run.voltage, frequencies, 0);
      return { mouth: quotient(sums(mouth, frequencies, 0.5), drive), leak: quotient(sums(run.flow[1]!, frequencies, 0.5), drive) };
    },
    impedance: (frequencies) => quotient(sums(run.voltage, frequencies, 0), sums(run.current, frequencies, 0.5)),
  };
}
