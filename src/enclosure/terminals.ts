import { resistanceAtTerminals } from "../acoustics/wiring.js";
import type { Driver } from "../driver/parameters.js";
import type { Design } from "./design.js";

/**
 * The driver of a design with Re and nominal impedance (ohm) as they stand at the terminals: those of the drivers in the network, as they are wired. All else
 * stays that of one driver. The nominal impedance is known where that of every driver is.
 *
 * Source: Kirchhoff's laws, elementary.
 */
export function terminalDriver(design: Pick<Design, "driver" | "network">): Driver {
  const { network, driver } = design;
  const isNominal = network.drivers.every((placed) => placed.driver.nominalImpedance !== undefined);
  return Object.freeze({
    ...driver,
    Re: resistanceAtTerminals(network, (one) => one.Re),
    nominalImpedance: isNominal ? resistanceAtTerminals(network, (one) => one.nominalImpedance!) : undefined,
  });
}
