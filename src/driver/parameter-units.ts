import type { DriverParameters } from "./parameters.js";

/** SI unit of each parameter of a driver; "" for no unit. */
export const parameterUnits: Readonly<Record<keyof DriverParameters, string>> = Object.freeze({
  Re: "ohm",
  Le: "H",
  fs: "Hz",
  Qms: "",
  Qes: "",
  Qts: "",
  Vas: "m^3",
  Sd: "m^2",
  Bl: "T m",
  Mms: "kg",
  Cms: "m/N",
  Rms: "N s/m",
  Xmax: "m",
  ratedPower: "W",
  nominalImpedance: "ohm",
});

/** What each parameter of a driver is, in a few words; no unit. */
export const parameterMeanings: Readonly<Record<keyof DriverParameters, string>> = Object.freeze({
  Re: "direct-current resistance of the voice coil",
  Le: "inductance of the voice coil",
  fs: "resonance frequency in free air",
  Qms: "mechanical quality factor",
  Qes: "electrical quality factor",
  Qts: "total quality factor",
  Vas: "volume of air as stiff as the suspension",
  Sd: "effective area of the cone",
  Bl: "force factor",
  Mms: "moving mass with the air load",
  Cms: "compliance of the suspension",
  Rms: "mechanical resistance of the suspension",
  Xmax: "linear excursion, one way, peak",
  ratedPower: "rated power",
  nominalImpedance: "nominal impedance",
});

/** The names of all parameters, in the order in which they are listed. */
export const parameterNames: readonly (keyof DriverParameters)[] = Object.freeze(Object.keys(parameterUnits) as (keyof DriverParameters)[]);
