import { makeAir } from "../../src/air/air.js";
import { deriveDriver } from "../../src/driver/derive.js";
import { hotDriver as hotDriverOf, powerCompression, type CoilMetal } from "../../src/driver/heat.js";
import type { Driver } from "../../src/driver/parameters.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { driverFrom } from "./enclosure-words.js";
import { oneOf } from "./names.js";
import { compact } from "./notebook-design.js";

/** State of a warm voice coil. */
export interface HotDriverWords {
  /** temperature of the coil, degrees Celsius, a plain number */
  readonly coilTemperature: QuantityInput;
  /** temperature at which Re was measured, degrees Celsius, a plain number; 20 when missing */
  readonly reference?: QuantityInput;
  /** metal of the coil; "copper" when missing */
  readonly metal?: CoilMetal;
}

/**
 * The driver with a warm voice coil: Re (ohm), Qes and Qts grow, and the level falls; all else stays.
 *
 * ```ts
 * const hot = air.hotDriver(woofer, { coilTemperature: 150 });
 * ```
 *
 * @throws InputError  naming the option that is wrong
 */
export function hotDriver(cold: Driver, options: HotDriverWords): Driver & Showable {
  const driver = driverFrom(cold, "hotDriver");
  checkKeys("hotDriver", options, ["coilTemperature", "reference", "metal"]);
  if (options.coilTemperature === undefined) throw new InputError({ where: "hotDriver.coilTemperature", came: "nothing", expected: "degrees Celsius are expected, such as 120" });
  const state = compact({
    coilTemperature: toSI(options.coilTemperature, "none", "hotDriver.coilTemperature"),
    reference: options.reference === undefined ? undefined : toSI(options.reference, "none", "hotDriver.reference"),
    metal: options.metal === undefined ? undefined : oneOf<CoilMetal>(options.metal, ["copper", "aluminium"], "hotDriver.metal"),
  });
  const { Re, Le, Sd, Bl, Mms, Cms, Rms, Xmax, ratedPower, nominalImpedance, coil } = hotDriverOf(driver, state);
  const name = `${driver.name}, coil at ${state.coilTemperature} degrees`;
  // derived again from its physical parameters, so that a design file brings back the same numbers
  const derived = deriveDriver(compact({ name, Re, Le, Sd, Bl, Mms, Cms, Rms, Xmax, ratedPower, nominalImpedance }), makeAir(driver.air));
  const hot: Driver = coil === undefined ? derived : Object.freeze({ ...derived, coil });
  const rows = (["Re", "Qes", "Qts"] as const).map((key) => [key, formatQuantity(driver[key], key === "Re" ? "ohm" : "", 4), formatQuantity(hot[key], key === "Re" ? "ohm" : "", 4)]);
  rows.push(["level in the pass band", "0 dB", formatQuantity(powerCompression(state), "dB", 3)]);
  return makeShowable(
    { ...hot },
    () => [{ kind: "table", title: name, columns: ["what", "cold", "hot"], rows }],
    () => `driver ${JSON.stringify(name)}: ${rows.map(([what, , value]) => `${what} ${value}`).join(", ")}`,
  );
}
