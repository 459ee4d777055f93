import type { Wiring } from "../acoustics/network.js";
import type { Driver } from "../driver/parameters.js";
import type { Design } from "./design.js";

/**
 * The driver of a design with Re and nominal impedance (ohm) as they stand at the terminals, where it has several: sums in series, reciprocal sums in
 * parallel. All else stays that of one driver. The nominal impedance is known where that of every driver is.
 *
 * Source: Kirchhoff's laws, elementary.
 */
export function terminalDriver(design: Design): Driver {
  const { network, driver } = design;
  if (network.drivers.length === 1) return driver;
  const combined = (key: "Re" | "nominalImpedance"): number | undefined => {
    const of = (wiring: Wiring): number | undefined => {
      if (wiring.kind === "driver") return network.drivers.find((d) => d.name === wiring.name)!.driver[key];
      const parts = wiring.parts.map(of);
      if (parts.includes(undefined)) return undefined;
      return wiring.kind === "series" ? parts.reduce<number>((a, b) => a + b!, 0) : 1 / parts.reduce<number>((a, b) => a + 1 / b!, 0);
    };
    return of(network.wiring);
  };
  return Object.freeze({ ...driver, Re: combined("Re")!, nominalImpedance: combined("nominalImpedance") });
}
