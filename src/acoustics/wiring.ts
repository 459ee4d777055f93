import type { MotorParameters } from "../driver/parameters.js";
import type { DriverPlacement, Network, Wiring } from "./network.js";

/** A sum over drivers with signs: places of drivers (no unit) and +1 or -1 for each. */
export interface SignedSum {
  /** place of the driver in the network, no unit */
  readonly driver: readonly number[];
  /** +1 or -1, no unit */
  readonly sign: readonly number[];
}

/** The electrical side of a network as equations between driver voltages and currents. */
export interface CompiledWiring {
  /** sums of driver voltages that are zero */
  readonly equalVoltages: readonly SignedSum[];
  /** sums of driver currents that are zero */
  readonly equalCurrents: readonly SignedSum[];
  /** sum of driver voltages at the terminals */
  readonly voltage: SignedSum;
  /** sum of driver currents into the terminals */
  readonly current: SignedSum;
}

/**
 * Series and parallel groups as equations (Kirchhoff): parts of a series group carry the same current and add their voltages, parts of a
 * parallel group have the same voltage and add their currents. As many equations as drivers, with that of the terminals.
 */
export function compileWiring(wiring: Wiring, drivers: readonly DriverPlacement[]): CompiledWiring {
  const equalVoltages: SignedSum[] = [], equalCurrents: SignedSum[] = [];
  const walk = (part: Wiring): { voltage: SignedSum; current: SignedSum } => {
    if (part.kind === "driver") {
      const driver = [drivers.findIndex((d) => d.name === part.name)], sign = [part.reversed === true ? -1 : 1];
      return { voltage: { driver, sign }, current: { driver, sign } };
    }
    const parts = part.parts.map(walk);
    const [first, ...rest] = parts;
    for (const other of rest) {
      if (part.kind === "series") equalCurrents.push(minus(other.current, first!.current));
      else equalVoltages.push(minus(other.voltage, first!.voltage));
    }
    return part.kind === "series" ? { voltage: sum(parts.map((p) => p.voltage)), current: first!.current } : { voltage: first!.voltage, current: sum(parts.map((p) => p.current)) };
  };
  const { voltage, current } = walk(wiring);
  return { equalVoltages, equalCurrents, voltage, current };
}

/**
 * Resistance of all drivers of a network as they are wired, ohm: sums in series, reciprocal sums in parallel.
 *
 * @param of  what counts of one driver, ohm, such as Re or the nominal impedance
 *
 * Source: Kirchhoff's laws, elementary.
 */
export function resistanceAtTerminals({ drivers, wiring }: Pick<Network, "drivers" | "wiring">, of: (driver: MotorParameters) => number): number {
  const walk = (part: Wiring): number => {
    if (part.kind === "driver") return of(drivers.find((placed) => placed.name === part.name)!.driver);
    const total = part.parts.reduce((sum, one) => sum + (part.kind === "series" ? walk(one) : 1 / walk(one)), 0);
    return part.kind === "series" ? total : 1 / total;
  };
  return walk(wiring);
}

function sum(parts: readonly SignedSum[]): SignedSum {
  return { driver: parts.flatMap((p) => p.driver), sign: parts.flatMap((p) => p.sign) };
}

function minus(a: SignedSum, b: SignedSum): SignedSum {
  return sum([a, { driver: b.driver, sign: b.sign.map((s) => -s) }]);
}
