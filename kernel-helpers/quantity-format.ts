// One step of a ladder: the unit shown for values from `from` on, and how many of it make one SI unit.
interface Step {
  readonly from: number;
  readonly shown: string;
  readonly perSI: number;
}

const ladders: Readonly<Record<string, readonly Step[]>> = {
  m: ladder([0, "um", 1e6], [1e-5, "mm", 1e3], [1, "m", 1], [1e3, "km", 1e-3]),
  "m^2": ladder([0, "mm^2", 1e6], [1e-5, "cm^2", 1e4], [1, "m^2", 1]),
  "m^3": ladder([0, "mm^3", 1e9], [1e-8, "cm^3", 1e6], [1e-3, "L", 1e3], [1, "m^3", 1]),
  kg: ladder([0, "mg", 1e6], [1e-4, "g", 1e3], [1, "kg", 1]),
  Hz: ladder([0, "Hz", 1], [1e3, "kHz", 1e-3]),
  s: ladder([0, "us", 1e6], [1e-4, "ms", 1e3], [1, "s", 1]),
  ohm: ladder([0, "mohm", 1e3], [0.01, "ohm", 1], [1e3, "kohm", 1e-3]),
  H: ladder([0, "uH", 1e6], [1e-4, "mH", 1e3], [1, "H", 1]),
  F: ladder([0, "pF", 1e12], [1e-9, "nF", 1e9], [1e-6, "uF", 1e6], [1e-3, "mF", 1e3]),
  "m/N": ladder([0, "um/N", 1e6], [1e-5, "mm/N", 1e3], [1, "m/N", 1]),
  W: ladder([0, "mW", 1e3], [0.1, "W", 1], [1e4, "kW", 1e-3]),
  V: ladder([0, "mV", 1e3], [0.1, "V", 1], [1e4, "kV", 1e-3]),
  A: ladder([0, "mA", 1e3], [0.1, "A", 1]),
  Pa: ladder([0, "uPa", 1e6], [1e-3, "mPa", 1e3], [1, "Pa", 1], [1e4, "kPa", 1e-3]),
};

function ladder(...steps: [number, string, number][]): readonly Step[] {
  return steps.map(([from, shown, perSI]) => ({ from, shown, perSI }));
}

/**
 * The value as plain text, rounded to so many significant digits, without trailing zeros; no unit.
 * No exponent from 1e-6 to 1e21; values that are not finite give "-".
 *
 * @param value   any number
 * @param digits  significant digits, 1 to 15
 */
export function formatNumber(value: number, digits: number = 3): string {
  if (!Number.isFinite(value)) return "-";
  const rounded = Number(value.toPrecision(digits));
  return String(rounded === 0 ? 0 : rounded);
}

/**
 * The value in a unit that reads well: 0.0079 m^3 as "7.9 L", 0.0088 m^2 as "88 cm^2", 0.006 m as "6 mm".
 * The result can be read back by `toSI`; values that are not finite give "-".
 *
 * @param value   in the SI unit named
 * @param unit    SI unit: m, m^2, m^3, kg, Hz, s, ohm, H, F, m/N, W, V, A, Pa get prefixes, any other is shown as it is; "" for none
 * @param digits  significant digits, 1 to 15; 3 when missing
 */
export function formatQuantity(value: number, unit: string, digits: number = 3): string {
  if (!Number.isFinite(value)) return "-";
  if (unit === "") return formatNumber(value, digits);
  const steps = Object.hasOwn(ladders, unit) ? (ladders[unit] as readonly Step[]) : undefined;
  if (steps === undefined) return `${formatNumber(value, digits)} ${unit}`;
  // the step is chosen by the rounded value, so that 999.9 Hz is "1 kHz" and not "1000 Hz"
  const size = Math.abs(Number(value.toPrecision(digits)));
  const home = steps.find((step) => step.perSI === 1) ?? (steps[steps.length - 1] as Step);
  let step = size === 0 ? home : (steps[0] as Step);
  if (size > 0) for (const candidate of steps) if (size >= candidate.from) step = candidate;
  return `${formatNumber(value * step.perSI, digits)} ${step.shown}`;
}
