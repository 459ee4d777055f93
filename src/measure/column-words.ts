import { readUnit } from "./column-units.js";
import type { ColumnUnit, UnitDimension } from "./column-units.js";

/** What a column holds; "magnitude" is one whose unit alone would say more. */
export type ColumnKind =
  | "frequency"
  | "level"
  | "pressure"
  | "magnitude"
  | "phase"
  | "impedance"
  | "real"
  | "imaginary"
  | "correction"
  | "displacement"
  | "other";

/** What a heading says. */
export interface HeadingMeaning {
  readonly kind: ColumnKind;
  /** unit in the heading; undefined when none is given */
  readonly unit: ColumnUnit | undefined;
  /** text in brackets that is no unit we know; undefined when there is none */
  readonly foreign: string | undefined;
}

/** Words of English, German, French, Spanish, Italian, Dutch and Portuguese, small letters without accents; first match wins. */
const words: readonly (readonly [ColumnKind, string])[] = [
  ["other", "delay laufzeit retard distortion thd harmonic klirr coherence koharenz noise rauschen bruit ruido rumore time zeit date"],
  ["correction", "correction corrections deviation korrektur abweichung ecart correccion desviacion correzione deviazione scarto calibration kalibrierung correctie afwijking"],
  ["phase", "phase phi \u03c6 phasenwinkel phasenlage angle winkel fase angolo angulo arg ang"],
  ["imaginary", "imag imaginary im imaginarteil imaginaire imaginaria imaginario immaginaria immaginario reactance reaktanz blindwiderstand reactancia reattanza"],
  ["real", "real re realteil reel reelle reale resistance wirkwiderstand resistencia resistenza"],
  ["impedance", "impedance impedanz scheinwiderstand impedancia impedenza impedantie z zmag |z|"],
  ["level", "level levels spl splevel pegel schalldruckpegel schallpegel niveau nivel livello lp response frequenzgang"],
  ["frequency", "frequency frequencies freq frq f frequenz frequence frecuencia frequenza frequentie frequencia"],
  ["pressure", "pressure schalldruck druck pression presion pressione druk pressao"],
  ["displacement", "displacement excursion auslenkung deplacement desplazamiento spostamento"],
  ["magnitude", "magnitude mag amplitude ampl amp gain betrag verstarkung module modulo magnitud amplitud ampiezza ganancia guadagno abs"],
];

const kindOfWord: ReadonlyMap<string, number> = new Map(words.flatMap(([, list], i) => list.split(" ").map((word) => [word, i] as const)).reverse());

const kindOfDimension: Partial<Record<UnitDimension, ColumnKind>> = {
  frequency: "frequency",
  decibel: "level",
  angle: "phase",
  pressure: "pressure",
  impedance: "impedance",
  length: "displacement",
};

/**
 * Kind and unit that a heading names; "other" when no word and no unit of it is known; no unit.
 * Units stand in brackets, after "/", "_" or a comma, after "in", or as the last words.
 */
export function readHeading(heading: string): HeadingMeaning {
  const text = heading.slice(0, 200).replace(/\s+/g, " ").trim();
  const { name, unit, foreign } = takeUnit(text);
  if (unit?.dimension === "impedance" && /^[rx]$/i.test(name.trim())) return { kind: /r/i.test(name) ? "real" : "imaginary", unit, foreign };
  return { kind: fit(kindOfName(name), unit), unit, foreign };
}

/** True for a heading in which no word and no unit is known, such as "front left". */
export function namesNothing(heading: string): boolean {
  const { name, unit } = takeUnit(heading.slice(0, 200).replace(/\s+/g, " ").trim());
  return unit === undefined && kindOfName(name) === undefined;
}

/** The name in a heading without its unit, such as "left level" of "left level (dB)"; no unit. */
export function nameInHeading(heading: string): string {
  const text = heading.slice(0, 200).replace(/\s+/g, " ").trim();
  return takeUnit(text).name.replace(/\(\s*\)|\[\s*\]/g, "").replace(/\s+/g, " ").trim();
}

interface Parts {
  readonly name: string;
  readonly unit: ColumnUnit | undefined;
  readonly foreign: string | undefined;
}

function takeUnit(text: string): Parts {
  const whole = /^[m1]$/.test(text) ? undefined : readUnit(text);
  if (whole !== undefined) return { name: "", unit: whole, foreign: undefined };
  return takeTrailing(text) ?? takeBracket(text) ?? takeGlued(text) ?? { name: text, unit: undefined, foreign: undefined };
}

/** The longest run of last words that is a unit. */
function takeTrailing(text: string): Parts | undefined {
  for (const found of text.matchAll(/[\s/_,;:]+/g)) {
    const tail = text.slice(found.index + found[0].length).replace(/^in\s+/i, "");
    const unit = tail === "" || /^[m1]$/.test(tail) ? undefined : readUnit(tail);
    if (unit !== undefined) return { name: text.slice(0, found.index), unit, foreign: undefined };
  }
  return undefined;
}

/** A unit in any brackets; else what the last brackets hold, unless it is the Z of Re(Z) and the like. */
function takeBracket(text: string): Parts | undefined {
  let foreign: string | undefined;
  for (const found of text.matchAll(/[([]([^()[\]]*)[)\]]/g)) {
    const inner = found[1]!.trim();
    const unit = readUnit(inner);
    const name = text.slice(0, found.index) + text.slice(found.index + found[0].length);
    if (unit !== undefined) return { name, unit, foreign: undefined };
    if (!/^\|?z\|?$/i.test(inner) && inner !== "") foreign = inner;
  }
  return foreign === undefined ? undefined : { name: text, unit: undefined, foreign };
}

/** A unit before the name ("dB level") or joined to it ("freqHz"). */
function takeGlued(text: string): Parts | undefined {
  const first = /^([a-z]+)\s+(.+)$/i.exec(text);
  const leading = first === null ? undefined : readUnit(first[1]!);
  if (leading !== undefined && ["frequency", "decibel", "impedance"].includes(leading.dimension)) return { name: first![2]!, unit: leading, foreign: undefined };
  const glued = /^([a-z]{2,20}?)(hz|khz|db|deg|ohm)$/i.exec(text);
  if (glued !== null && kindOfName(glued[1]!) !== undefined) return { name: glued[1]!, unit: readUnit(glued[2]!), foreign: undefined };
  return undefined;
}

/** Kind that the words of a name say; undefined when no word is known. */
function kindOfName(name: string): ColumnKind | undefined {
  const plain = name.normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  let best = words.length;
  for (const token of plain.split(/[^\p{L}\p{N}|]+/u)) {
    const found = kindOfWord.get(token) ?? kindOfWord.get(token.replace(/\d+$/, ""));
    if (found !== undefined && found < best) best = found;
  }
  return words[best]?.[0];
}

/** Kind of the name brought together with what the unit measures; a name we do not know is told by its unit alone. */
function fit(kind: ColumnKind | undefined, unit: ColumnUnit | undefined): ColumnKind {
  if (unit === undefined || kind === "other") return kind ?? "other";
  const { dimension } = unit;
  if (kind === "real" || kind === "imaginary") return dimension === "decibel" || dimension === "angle" || dimension === "frequency" ? "other" : kind;
  if (kind === "correction") return dimension === "decibel" || dimension === "ratio" ? kind : dimension === "angle" ? "phase" : "other";
  if (kind === "phase") return dimension === "angle" ? kind : "other";
  if (kind === "impedance" && dimension === "decibel") return kind;
  return kindOfDimension[dimension] ?? "other";
}
