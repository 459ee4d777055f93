import { createRequire } from "node:module";

/** A unit in terms of SI base units. */
export interface UnitInSI {
  /** SI value of one of this unit, in the coherent SI unit */
  readonly factor: number;
  /** n when one of this unit is 10^n of the coherent SI unit, otherwise undefined; no unit */
  readonly powerOfTen: number | undefined;
  /** exponents of mass, length, time, current, temperature, luminous intensity, amount, angle; no unit */
  readonly exponents: string;
}

// The part of the unit library that is used here.
interface ParsedUnit {
  readonly value: number | null;
  readonly dimensions: readonly number[];
}
interface UnitLibrary {
  readonly unit: (text: string) => ParsedUnit;
}
interface UnitModule {
  readonly create: (factories: unknown, config?: unknown) => UnitLibrary;
  readonly unitDependencies: unknown;
}

let library: UnitLibrary | undefined;
const known = new Map<string, UnitInSI | undefined>();

// Spellings of data sheets and of everyday writing that the library reads otherwise (Tm as a length) or not at all.
const spellings: Readonly<Record<string, string>> = {
  Tm: "T m",
  Ns: "N s",
  Pas: "Pa s",
  hz: "Hz",
  khz: "kHz",
  Khz: "kHz",
  KHz: "kHz",
  Ohm: "ohm",
  Ohms: "ohm",
  w: "W",
  Watt: "W",
  Watts: "W",
  v: "V",
  Volt: "V",
  Volts: "V",
  mh: "mH",
  Hertz: "Hz",
  Litre: "L",
  Litres: "L",
  Liter: "L",
  Liters: "L",
  centimetre: "cm",
  centimetres: "cm",
  millimetre: "mm",
  millimetres: "mm",
  newton: "N",
  newtons: "N",
  pascal: "Pa",
  pascals: "Pa",
  litre: "L",
  litres: "L",
  metre: "m",
  metres: "m",
  sr: "rad^2",
};

// A sound pressure level may say so; what it is relative to is known here, 20 uPa.
const decibels = /^(?:dB|db|dB ?\(?SPL\)?)$/;

/**
 * What one of a unit is in SI, or undefined when the unit is not known.
 * The unit library is loaded at the first call, because that takes about half a second.
 *
 * @param text  unit without number, such as "N s/m"; letters, blanks, powers ("cm^2", "cm2"), "*", "/" and brackets only
 */
export function unitOf(text: string): UnitInSI | undefined {
  if (!known.has(text)) known.set(text, parseUnit(text));
  return known.get(text);
}

function parseUnit(text: string): UnitInSI | undefined {
  if (decibels.test(text)) return { factor: 1, powerOfTen: 0, exponents: "decibel" };
  if (text === "%") return { factor: 0.01, powerOfTen: -2, exponents: "0,0,0,0,0,0,0,0" };
  // "gr" is the grain of the library and the gram of many a data sheet: not guessed
  if (/(?:^|[^A-Za-z])gr(?:$|[^A-Za-z])/.test(text)) return undefined;
  const spelled = text.replace(/[A-Za-z]+/g, (word) => (Object.hasOwn(spellings, word) ? (spellings[word] as string) : word)).replace(/([A-Za-z])([2-4])(?!\d)/g, "$1^$2");
  library ??= loadLibrary();
  try {
    const unit = library.unit(`1 ${spelled}`);
    const factor = unit.value;
    const exponents = unit.dimensions.slice(0, 8).map((exponent) => exponent + 0);
    const bits = unit.dimensions[8] ?? 0;
    if (factor === null || !(factor > 0 && Number.isFinite(factor)) || bits !== 0) return undefined;
    const power = Math.round(Math.log10(factor));
    const powerOfTen = Math.abs(factor / Number(`1e${power}`) - 1) < 1e-12 ? power : undefined;
    return { factor, powerOfTen, exponents: exponents.join(",") };
  } catch {
    return undefined;
  }
}

function loadLibrary(): UnitLibrary {
  const load = createRequire(__filename);
  const { create, unitDependencies } = load("mathjs") as UnitModule;
  return create(unitDependencies);
}
