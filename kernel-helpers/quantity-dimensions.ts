/** The kinds of quantity that a notebook can give with a unit. */
export type Dimension =
  | "length"
  | "area"
  | "volume"
  | "mass"
  | "frequency"
  | "time"
  | "resistance"
  | "inductance"
  | "force factor"
  | "compliance"
  | "mechanical resistance"
  | "power"
  | "voltage"
  | "acoustic mass"
  | "acoustic resistance"
  | "acoustic compliance"
  | "specific impedance"
  | "mass per area"
  | "pressure per length"
  | "flow resistivity"
  | "density"
  | "speed"
  | "viscosity"
  | "pressure"
  | "microphone sensitivity"
  | "angle"
  | "solid angle"
  | "decibel"
  | "none";

/** One kind of quantity: how it is called, which unit an example has, which base units it is made of. */
export interface DimensionRow {
  /** noun with its article, for error texts */
  readonly noun: string;
  /** unit of an example in an error text */
  readonly exampleUnit: string;
  /** exponents of mass, length, time, current, temperature, luminous intensity, amount, angle; no unit */
  readonly exponents: string;
}

/** Exponents in the order mass, length, time, current, temperature, luminous intensity, amount, angle. */
export const dimensionRows: Readonly<Record<Dimension, DimensionRow>> = Object.freeze({
  length: { noun: "a length", exampleUnit: "mm", exponents: "0,1,0,0,0,0,0,0" },
  area: { noun: "an area", exampleUnit: "cm^2", exponents: "0,2,0,0,0,0,0,0" },
  volume: { noun: "a volume", exampleUnit: "L", exponents: "0,3,0,0,0,0,0,0" },
  mass: { noun: "a mass", exampleUnit: "g", exponents: "1,0,0,0,0,0,0,0" },
  frequency: { noun: "a frequency", exampleUnit: "Hz", exponents: "0,0,-1,0,0,0,0,0" },
  time: { noun: "a time", exampleUnit: "ms", exponents: "0,0,1,0,0,0,0,0" },
  resistance: { noun: "a resistance", exampleUnit: "ohm", exponents: "1,2,-3,-2,0,0,0,0" },
  inductance: { noun: "an inductance", exampleUnit: "mH", exponents: "1,2,-2,-2,0,0,0,0" },
  "force factor": { noun: "a force factor", exampleUnit: "T m", exponents: "1,1,-2,-1,0,0,0,0" },
  compliance: { noun: "a compliance", exampleUnit: "mm/N", exponents: "-1,0,2,0,0,0,0,0" },
  "mechanical resistance": { noun: "a mechanical resistance", exampleUnit: "N s/m", exponents: "1,0,-1,0,0,0,0,0" },
  power: { noun: "a power", exampleUnit: "W", exponents: "1,2,-3,0,0,0,0,0" },
  voltage: { noun: "a voltage", exampleUnit: "V", exponents: "1,2,-3,-1,0,0,0,0" },
  "acoustic mass": { noun: "an acoustic mass", exampleUnit: "kg/m^4", exponents: "1,-4,0,0,0,0,0,0" },
  "acoustic resistance": { noun: "an acoustic resistance", exampleUnit: "Pa s/m^3", exponents: "1,-4,-1,0,0,0,0,0" },
  "acoustic compliance": { noun: "an acoustic compliance", exampleUnit: "m^3/Pa", exponents: "-1,4,2,0,0,0,0,0" },
  "specific impedance": { noun: "a specific acoustic impedance", exampleUnit: "Pa s/m", exponents: "1,-2,-1,0,0,0,0,0" },
  "mass per area": { noun: "a mass per area", exampleUnit: "kg/m^2", exponents: "1,-2,0,0,0,0,0,0" },
  "pressure per length": { noun: "a pressure per length", exampleUnit: "Pa/m", exponents: "1,-2,-2,0,0,0,0,0" },
  "flow resistivity": { noun: "a flow resistivity", exampleUnit: "Pa s/m^2", exponents: "1,-3,-1,0,0,0,0,0" },
  density: { noun: "a density", exampleUnit: "kg/m^3", exponents: "1,-3,0,0,0,0,0,0" },
  speed: { noun: "a speed", exampleUnit: "m/s", exponents: "0,1,-1,0,0,0,0,0" },
  viscosity: { noun: "a viscosity", exampleUnit: "Pa s", exponents: "1,-1,-1,0,0,0,0,0" },
  pressure: { noun: "a pressure", exampleUnit: "Pa", exponents: "1,-1,-2,0,0,0,0,0" },
  "microphone sensitivity": { noun: "a sensitivity of a microphone", exampleUnit: "mV/Pa", exponents: "0,3,-1,-1,0,0,0,0" },
  angle: { noun: "an angle", exampleUnit: "deg", exponents: "0,0,0,0,0,0,0,1" },
  "solid angle": { noun: "a solid angle", exampleUnit: "sr", exponents: "0,0,0,0,0,0,0,2" },
  decibel: { noun: "a value in decibels", exampleUnit: "dB", exponents: "decibel" },
  none: { noun: "a number without unit", exampleUnit: "", exponents: "0,0,0,0,0,0,0,0" },
});

// Kinds that nobody asks for, but that a wrong unit may turn out to be.
const otherNouns: Readonly<Record<string, string>> = {
  "1,1,-2,0,0,0,0,0": "a force",
  "1,2,-2,0,0,0,0,0": "an energy",
  "0,0,0,1,0,0,0,0": "a current",
  "0,0,1,1,0,0,0,0": "a charge",
  "-1,-2,4,2,0,0,0,0": "a capacitance",
  "1,0,-2,-1,0,0,0,0": "a magnetic flux density",
  "1,2,-2,-1,0,0,0,0": "a magnetic flux",
  "1,0,-2,0,0,0,0,0": "a stiffness",
  "0,1,-2,0,0,0,0,0": "an acceleration",
  "0,3,-1,0,0,0,0,0": "a volume velocity",
  "0,0,-1,0,0,0,0,1": "an angular frequency",
  "0,0,0,0,1,0,0,0": "a temperature",
};

/** What a quantity with these exponents is called, noun with its article; no unit. */
export function nounOfExponents(exponents: string): string {
  for (const row of Object.values(dimensionRows)) if (row.exponents === exponents) return row.noun;
  return otherNouns[exponents] ?? "a quantity of another kind";
}
