import type { Driver } from "../../src/driver/parameters.js";

/** A complete driver from its physical parameters (Small 1972), air 1.2041 kg/m^3 and 343.2 m/s. */
export function physicalDriver(name: string, p: { Mms: number; Cms: number; Rms: number; Bl: number; Re: number; Sd: number; Le?: number; Xmax?: number }): Driver {
  const { Mms, Cms, Rms, Bl, Re, Sd, Le = 0 } = p;
  const ws = 1 / Math.sqrt(Mms * Cms);
  const Qms = (ws * Mms) / Rms, Qes = (ws * Mms * Re) / (Bl * Bl);
  return {
    name, Re, Le, Sd, Bl, Mms, Cms, Rms, Qms, Qes,
    fs: ws / (2 * Math.PI),
    Qts: (Qms * Qes) / (Qms + Qes),
    Vas: 1.2041 * 343.2 * 343.2 * Sd * Sd * Cms,
    Xmax: p.Xmax,
    ratedPower: undefined,
    nominalImpedance: undefined,
    given: ["Mms", "Cms", "Rms", "Bl", "Re", "Sd"],
    air: { density: 1.2041, soundSpeed: 343.2 },
  };
}

/** Invented drivers of the check values, used by several tables. */
export const driverA: Driver = physicalDriver("driver A (invented)", { Mms: 0.06, Cms: 0.0004, Rms: 2, Bl: 11, Re: 5.6, Sd: 0.033 });
export const driverB: Driver = physicalDriver("driver B (invented)", { Mms: 0.04, Cms: 0.0005, Rms: 1.4, Bl: 11.5, Re: 5.8, Sd: 0.022 });
