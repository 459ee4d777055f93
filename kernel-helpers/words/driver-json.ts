import { standardAir } from "../../src/air/air.js";
import type { Driver } from "../../src/driver/parameters.js";

/** A driver as it stands in a design file: the parameters that were given, plain SI numbers. */
export function driverToJson(d: Driver): Record<string, unknown> {
  const out: Record<string, unknown> = { name: d.name };
  const names: Readonly<Record<string, string>> = { ratedPower: "power", nominalImpedance: "impedance" };
  for (const key of d.given) out[names[key] ?? key] = d[key];
  if (d.coil !== undefined && d.coil.kind !== "plain") out["coil"] = d.coil.kind === "eddy" ? { L2: d.coil.L2, R2: d.coil.R2 } : { K: d.coil.K, n: d.coil.n };
  if (d.air.density !== standardAir.density || d.air.soundSpeed !== standardAir.soundSpeed) {
    out["air"] = { density: d.air.density, soundSpeed: d.air.soundSpeed };
  }
  return out;
}
