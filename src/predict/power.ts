import { openingsOf } from "../acoustics/network.js";
import { coilImpedance } from "../driver/voice-coil.js";
import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** Power at one opening. */
export interface OpeningPower {
  /** name of the opening */
  readonly name: string;
  /** true where it works into the space or has an area; false for a leak, whose power is heat */
  readonly radiates: boolean;
  /** through the opening, W, n values; below zero where other openings drive it */
  readonly power: Float64Array;
}

/** Where the power goes, W, over frequency; n values each. */
export interface PowerFlow {
  /** Hz */
  readonly frequencies: Float64Array;
  /** out of the source, its own resistance included, W */
  readonly source: Float64Array;
  /** into the terminals of the drivers, W */
  readonly terminals: Float64Array;
  /** heat in the voice coils and in iron by induced currents, W */
  readonly coil: Float64Array;
  /** heat in the suspensions, W */
  readonly suspension: Float64Array;
  readonly openings: readonly OpeningPower[];
  /** sound out of all openings that radiate, W */
  readonly radiated: Float64Array;
  /** heat in leaks, W */
  readonly leaks: Float64Array;
  /** what remains: heat at walls, in fill, in resistances and membranes, W; zero to rounding where there are none */
  readonly losses: Float64Array;
  /** radiated over terminals, no unit */
  readonly efficiency: Float64Array;
  /** radiated over the power that the source would give into Re of the wiring alone, no unit: what the reference efficiency of Small is about */
  readonly nominalEfficiency: Float64Array;
}

/**
 * Power flow of a prediction at its drive, W RMS: out of the source, into the terminals, into coil, suspension, openings, leaks, and what remains for walls and fill.
 *
 * @remarks An opening with a load of its own counts as radiating; one that works against no pressure radiates nothing here. Openings that work on each other
 * share out their common power as pressure times flow of each.
 * Source: mean power Re(p U*), Kinsler et al., Fundamentals of Acoustics; efficiency R. H. Small, J. Audio Eng. Soc. 20 (1972) 383.
 */
export function powerFlow(prediction: Prediction): PowerFlow {
  const { frequencies, drive, design } = prediction, n = frequencies.length;
  const { network } = design;
  const { solution: s } = hear(prediction, frequencies);
  const zeros = (): Float64Array => new Float64Array(n);
  const out = { source: zeros(), terminals: zeros(), coil: zeros(), suspension: zeros(), radiated: zeros(), leaks: zeros(), losses: zeros(), efficiency: zeros(), nominalEfficiency: zeros() };
  const openings = openingsOf(network).map((opening, o) => {
    const node = s.nodes.indexOf(opening.node) * n, power = zeros();
    for (let f = 0; f < n; f++) power[f] = s.pressureRe[node + f]! * s.flowRe[o * n + f]! + s.pressureIm[node + f]! * s.flowIm[o * n + f]!;
    return Object.freeze({ name: opening.name, radiates: opening.area !== undefined, power });
  });
  const coil = new Float64Array(2);
  const nominal = drive.voltage ** 2 / directResistance(network.wiring, (name) => network.drivers.find((d) => d.name === name)!.driver.Re);
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!;
    const ir = s.currentRe[f]!, ii = s.currentIm[f]!;
    out.source[f] = drive.voltage * ir;
    out.terminals[f] = drive.voltage * ir - drive.sourceResistance * (ir * ir + ii * ii);
    network.drivers.forEach(({ driver }, d) => {
      const at = d * n + f;
      coilImpedance(driver, omega, coil);
      out.coil[f] = out.coil[f]! + coil[0]! * (s.coilCurrentRe[at]! ** 2 + s.coilCurrentIm[at]! ** 2);
      out.suspension[f] = out.suspension[f]! + driver.Rms * (s.velocityRe[at]! ** 2 + s.velocityIm[at]! ** 2);
    });
    for (const { power, radiates } of openings) {
      if (radiates) out.radiated[f] = out.radiated[f]! + power[f]!;
      else out.leaks[f] = out.leaks[f]! + power[f]!;
    }
    out.losses[f] = out.terminals[f]! - out.coil[f]! - out.suspension[f]! - out.radiated[f]! - out.leaks[f]!;
    out.efficiency[f] = out.radiated[f]! / out.terminals[f]!;
    out.nominalEfficiency[f] = out.radiated[f]! / nominal;
  }
  return Object.freeze({ frequencies, openings: Object.freeze(openings), ...out });
}

/** Resistance of the coils as they are wired, ohm. */
function directResistance(wiring: Prediction["design"]["network"]["wiring"], resistanceOf: (name: string) => number): number {
  if (wiring.kind === "driver") return resistanceOf(wiring.name);
  const parts = wiring.parts.map((part) => directResistance(part, resistanceOf));
  return wiring.kind === "series" ? parts.reduce((sum, r) => sum + r, 0) : 1 / parts.reduce((sum, r) => sum + 1 / r, 0);
}
