import type { DriverPlacement, NetworkElement, Wiring } from "../acoustics/network.js";
import type { MotorParameters } from "../driver/parameters.js";
import type { VoiceCoil } from "../driver/voice-coil.js";
import { InputError } from "../errors.js";

/**
 * Several equal drivers in one enclosure:
 * - "same": all face the same way, side by side
 * - "push-pull": every second one is turned round and its terminals are exchanged
 * - "opposed": on opposite walls; where their faces look into the space, each has an opening of its own
 */
export interface DriverSet {
  /** how many, 1 to 16, no unit */
  readonly count: number;
  readonly wiring: "series" | "parallel";
  readonly mounting: "same" | "push-pull" | "opposed";
}

/** A single driver. */
export const oneDriver: DriverSet = Object.freeze({ count: 1, wiring: "parallel", mounting: "same" });

/** Drivers of a set in a network, and how they are joined. */
export interface PlacedDrivers {
  readonly placements: readonly DriverPlacement[];
  readonly wiring: Wiring;
}

/**
 * Refuses a set that cannot be.
 *
 * @throws InputError  when the count is no whole number from 1 to 16, or a single driver is to be mounted against another
 */
export function checkDriverSet(set: DriverSet, where: string): void {
  if (!Number.isInteger(set.count) || set.count < 1 || set.count > 16) {
    throw new InputError({ where: `${where}.count`, came: String(set.count), expected: "a whole number from 1 to 16 is expected" });
  }
  if (set.count === 1 && set.mounting !== "same") {
    throw new InputError({ where: `${where}.mounting`, came: `"${set.mounting}" with a single driver`, expected: "two or more drivers are expected" });
  }
}

/**
 * The drivers of a set between two nodes. The linear model of a driver is the same from both sides, so push-pull plays as side by side.
 *
 * @param open  the side whose faces look straight into the space, where there is one: opposed drivers then have nodes of their own there
 */
export function placeDrivers(driver: MotorParameters, set: DriverSet, front: string, back: string, open: "front" | "back" | undefined): PlacedDrivers {
  const placements: DriverPlacement[] = [], parts: Wiring[] = [];
  for (let i = 0; i < set.count; i++) {
    const name = set.count === 1 ? "driver" : `driver ${i + 1}`;
    const own = (side: "front" | "back", node: string): string => (set.mounting === "opposed" && side === open ? `${node} ${i + 1}` : node);
    const turned = set.mounting === "push-pull" && i % 2 === 1;
    const a = own("front", front), b = own("back", back);
    placements.push(Object.freeze({ name, driver, front: turned ? b : a, back: turned ? a : b }));
    parts.push(Object.freeze(turned ? { kind: "driver", name, reversed: true } : { kind: "driver", name }));
  }
  const wiring: Wiring = parts.length === 1 ? parts[0]! : Object.freeze({ kind: set.wiring, parts: Object.freeze(parts) });
  return { placements: Object.freeze(placements), wiring };
}

/** Openings of the faces that look straight into the space: one for all drivers side by side, one for each of opposed ones. The mass of the air that each Mms holds is left out. */
export function coneOpenings(driver: MotorParameters, set: DriverSet, node: string, name = "cone"): NetworkElement[] {
  const load = { kind: "space" } as const;
  if (set.mounting !== "opposed") return [{ kind: "opening", name, node, area: set.count * driver.Sd, load, massInDriver: true, ...(set.count === 1 ? {} : { faceCount: set.count }) }];
  return Array.from({ length: set.count }, (_, i) => ({ kind: "opening", name: `${name} ${i + 1}`, node: `${node} ${i + 1}`, area: driver.Sd, load, massInDriver: true }));
}

/**
 * The single driver that plays as all drivers of a set together, SI units: areas, masses and losses add, compliances side by side add their stiffness,
 * coils in parallel share the current and coils in series add voltage and force factor.
 *
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383 (equivalent circuit); sums elementary.
 */
export function systemDriver<T extends MotorParameters>(driver: T, set: DriverSet): T {
  const n = set.count, electrical = set.wiring === "series" ? n : 1 / n;
  if (n === 1) return driver;
  return Object.freeze({
    ...driver,
    Re: driver.Re * electrical,
    Le: driver.Le * electrical,
    Bl: set.wiring === "series" ? driver.Bl * n : driver.Bl,
    Sd: driver.Sd * n,
    Mms: driver.Mms * n,
    Rms: driver.Rms * n,
    Cms: driver.Cms / n,
    Vas: driver.Vas * n,
    ratedPower: driver.ratedPower === undefined ? undefined : driver.ratedPower * n,
    nominalImpedance: driver.nominalImpedance === undefined ? undefined : driver.nominalImpedance * electrical,
    ...(driver.coil === undefined ? {} : { coil: scaledCoil(driver.coil, electrical) }),
  });
}

function scaledCoil(coil: VoiceCoil, factor: number): VoiceCoil {
  if (coil.kind === "plain") return coil;
  if (coil.kind === "eddy") return { ...coil, L2: coil.L2 * factor, R2: coil.R2 * factor };
  return { ...coil, K: coil.K * factor };
}
