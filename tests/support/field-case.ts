import { readFileSync } from "node:fs";
import type { Complex } from "./ducts.js";

/** A field solution that is kept with the tests: its inputs and its response. */
export interface FieldCase {
  /** parsed case.json */
  // eslint-disable-next-line @typescript-eslint/no-explicit-any
  readonly inputs: any;
  /** Hz, n values */
  readonly frequencies: readonly number[];
  /** complex values of a quantity such as "throat_impedance", n values */
  readonly values: (quantity: string) => readonly Complex[];
}

/** Rows of a table with "#" comments and one line of headings. */
export function fieldTable(name: string, file: string): readonly Readonly<Record<string, number>>[] {
  const lines = readFileSync(new URL(`../reference/${name}/${file}`, import.meta.url), "utf8").split(/\r?\n/).filter((line) => line !== "" && !line.startsWith("#"));
  const heads = lines[0]!.split(",");
  return lines.slice(1).map((line) => Object.fromEntries(line.split(",").map((cell, i) => [heads[i]!, Number(cell)])));
}

/** Inputs and response of a case by the name of its folder. */
export function fieldCase(name: string): FieldCase {
  const inputs = JSON.parse(readFileSync(new URL(`../reference/${name}/case.json`, import.meta.url), "utf8"));
  const rows = fieldTable(name, "response.csv");
  const heads = Object.keys(rows[0]!);
  return {
    inputs,
    frequencies: rows.map((row) => row["frequency_hz"]!),
    values: (quantity) => {
      const [re, im] = ["re", "im"].map((part) => heads.find((head) => head.startsWith(`${quantity}_${part}_`)));
      if (re === undefined || im === undefined) throw new Error(`${name} holds no ${quantity}`);
      return rows.map((row) => [row[re]!, row[im]!] as const);
    },
  };
}

/** Largest deviation in dB and degrees of complex values up to a frequency (Hz), nothing excluded. */
export function largestApart(got: readonly Complex[], wanted: readonly Complex[], frequencies: readonly number[], upTo: number): { readonly decibels: number; readonly degrees: number } {
  let decibels = 0, degrees = 0;
  wanted.forEach((w, i) => {
    if (frequencies[i]! > upTo * (1 + 1e-9)) return;
    const g = got[i]!, apart = ((Math.atan2(g[1], g[0]) - Math.atan2(w[1], w[0])) * 180) / Math.PI;
    decibels = Math.max(decibels, Math.abs(20 * Math.log10(Math.hypot(...g) / Math.hypot(...w))));
    degrees = Math.max(degrees, Math.abs(apart - 360 * Math.round(apart / 360)));
  });
  return { decibels, degrees };
}
