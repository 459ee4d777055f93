/** What a unit measures. */
export type UnitDimension = "frequency" | "decibel" | "angle" | "pressure" | "impedance" | "length" | "speed" | "volume velocity" | "ratio";

/** A unit of a column. */
export interface ColumnUnit {
  /** how the unit is written in reports */
  readonly symbol: string;
  readonly dimension: UnitDimension;
  /** multiplies a value to give the SI unit; for decibels the level of the reference re the usual one, in dB */
  readonly factor: number;
  /** set when a decibel value is a weighted level, such as "A-weighted" */
  readonly caution?: string;
  /** set when a decibel value is no sound pressure level but relative to something else, such as "full scale" or "1 V" */
  readonly relativeTo?: string;
}

type Row = readonly [names: string, symbol: string, dimension: UnitDimension, factor: number];

/** Names are compared in small letters, without blanks; Greek mu written u, ohm sign written ohm, degree sign written deg. */
const rows: readonly Row[] = [
  ["hz hertz cps 1/s", "Hz", "frequency", 1],
  ["khz kilohertz", "kHz", "frequency", 1000],
  ["rad/s rad/sec", "rad/s", "frequency", 1 / (2 * Math.PI)],
  ["deg degs degree degrees grad(deg) degrees(wrapped) winkelgrad grados gradi degre degres", "degrees", "angle", Math.PI / 180],
  ["rad rads radian radians radiant radianes radianti", "radians", "angle", 1],
  ["pa pascal pascals", "Pa", "pressure", 1],
  ["mpa", "mPa", "pressure", 1e-3],
  ["upa", "uPa", "pressure", 1e-6],
  ["hpa", "hPa", "pressure", 100],
  ["kpa", "kPa", "pressure", 1000],
  ["ohm ohms ohmios", "ohm", "impedance", 1],
  ["kohm kohms", "kohm", "impedance", 1000],
  ["mohm mohms", "mohm", "impedance", 1e-3],
  ["m", "m", "length", 1],
  ["cm", "cm", "length", 1e-2],
  ["mm", "mm", "length", 1e-3],
  ["um", "um", "length", 1e-6],
  ["m/s", "m/s", "speed", 1],
  ["mm/s", "mm/s", "speed", 1e-3],
  ["m^3/s m3/s", "m^3/s", "volume velocity", 1],
  ["l/s", "L/s", "volume velocity", 1e-3],
  ["1 ratio", "ratio", "ratio", 1],
  ["%", "%", "ratio", 0.01],
];

const byName: ReadonlyMap<string, ColumnUnit> = new Map(
  rows.flatMap(([names, symbol, dimension, factor]) => names.split(" ").map((name) => [name, Object.freeze({ symbol, dimension, factor })] as const)),
);

/** The unit that a text names, or undefined when it names none that is known; no unit. */
export function readUnit(text: string): ColumnUnit | undefined {
  if (text.length > 40) return undefined;
  const plain = text.trim().replace(/^[([{]\s*/, "").replace(/\s*[)\]}]$/, "").replace(/\u2126|\u03a9|\u03c9/g, "ohm").replace(/[\u00b5\u03bc]/g, "u").replace(/[\u00b0\u00ba]/g, "deg").trim();
  // megohm and megapascal are told from milli only by the capital: refuse to guess
  if (/^M(?:[oO]hm|Pa)/.test(plain)) return undefined;
  if (plain === "MHz") return Object.freeze({ symbol: "MHz", dimension: "frequency", factor: 1e6 });
  const name = plain.toLowerCase().replace(/\.$/, "").replace(/\s+/g, "");
  return byName.get(name) ?? readDecibel(name);
}

/** Decibels that say nothing of sound pressure, by the letters after dB: symbol, and what they are relative to. Common practice, no source. */
const relativeUnits: ReadonlyMap<string, readonly [symbol: string, relativeTo: string]> = new Map([
  ["fs", ["dBFS", "full scale"]],
  ["v", ["dBV", "1 V"]],
  ["mv", ["dBmV", "1 mV"]],
  ["uv", ["dBuV", "1 uV"]],
  ["u", ["dBu", "0.775 V"]],
  ["m", ["dBm", "1 mW"]],
  ["w", ["dBW", "1 W"]],
  ["r", ["dBr", "a reference that the file does not tell"]],
  ["rel", ["dB relative", "a reference that the file does not tell"]],
]);

/** Decibels: plain, with a reference ("dB re 20 uPa", "dB re 1 Pa"), weighted, or re something electrical. */
function readDecibel(name: string): ColumnUnit | undefined {
  const found = /^(?:db|decibels?|dezibel)[\s_-]?\(?([a-z]{0,3})\)?(?:(?:re|rel|ref)\.?:?(.*))?$/.exec(name);
  if (found === null) return /^re\.?:?(?:20u|20e-6|2e-5)pa$/.test(name) ? Object.freeze({ symbol: "dB re 20 uPa", dimension: "decibel", factor: 0 }) : undefined;
  const letters = found[1] ?? "";
  const reference = found[2];
  const level = (symbol: string, factor: number, kind: Pick<ColumnUnit, "caution" | "relativeTo"> = {}): ColumnUnit => Object.freeze({ symbol, dimension: "decibel", factor, ...kind });
  const weight = letters === "a" || letters === "b" || letters === "c" ? letters.toUpperCase() : undefined;
  if (weight !== undefined) return level(`dB(${weight})`, 0, { caution: `${weight}-weighted` });
  if (reference !== undefined && reference !== "") {
    if (/^(?:20u|20e-6|2e-5|2\.0e-5|0[.,]00002|0[.,]02m|20\*10\^-6|2\*10\^-5)pa$/.test(reference)) return level("dB re 20 uPa", 0);
    if (/^1?pa$/.test(reference)) return level("dB re 1 Pa", 20 * Math.log10(1 / 20e-6));
    return level(`dB re ${reference}`, 0, { relativeTo: reference });
  }
  if (letters === "" || letters === "spl" || letters === "z") return level("dB", 0);
  const electrical = relativeUnits.get(letters);
  return electrical === undefined ? undefined : level(electrical[0], 0, { relativeTo: electrical[1] });
}
