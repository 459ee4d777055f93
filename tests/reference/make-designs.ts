import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

/** One element of a circuit case; every number in the SI unit that its name says. */
export interface CaseElement {
  readonly type: "duct" | "volume" | "mass" | "resistance" | "resistance_to_outside" | "radiation_parallel" | "radiation_series" | "pressure_release";
  readonly node?: string;
  readonly from?: string;
  readonly to?: string;
  readonly opening?: string;
  readonly flare?: "uniform" | "conical" | "exponential" | "linear_area";
  readonly length_m?: number;
  readonly area_m2?: number;
  readonly area_start_m2?: number;
  readonly area_end_m2?: number;
  readonly volume_m3?: number;
  readonly mass_kg_m4?: number;
  readonly resistance_pa_s_m3?: number;
}

/** What a case.json holds of a circuit. */
export interface CircuitCase {
  readonly name: string;
  readonly title: string;
  readonly air: { readonly density_kg_m3: number; readonly sound_speed_m_s: number };
  readonly drive: { readonly voltage_v_rms: number; readonly source_resistance_ohm: number };
  readonly driver: { readonly name: string } & Readonly<Record<"sd_m2" | "mms_kg" | "cms_m_n" | "rms_n_s_m" | "bl_t_m" | "re_ohm" | "le_h", number>>;
  readonly observe: { readonly distance_m: number; readonly solid_angle_sr: number };
  readonly network: { readonly front_node: string; readonly back_node: string; readonly elements: readonly CaseElement[] };
}

const folder = fileURLToPath(new URL(".", import.meta.url));

/** Names of the circuit cases beside this file, sorted. */
export const caseNames: readonly string[] = readdirSync(folder).filter((name) => name.startsWith("circuit-")).sort();

/** The inputs of a case. */
export function readCase(name: string): CircuitCase {
  return JSON.parse(readFileSync(`${folder}${name}/case.json`, "utf8")) as CircuitCase;
}

/** The results of a case: columns by heading, SI units. */
export function readResponse(name: string): ReadonlyMap<string, Float64Array> {
  return columnsOf(readFileSync(`${folder}${name}/response.csv`, "utf8"));
}

/** The columns of a table between commas by their heading; lines that begin with "#" are remarks. */
export function columnsOf(text: string): ReadonlyMap<string, Float64Array> {
  const [head = "", ...rows] = text.split("\n").filter((line) => line !== "" && !line.startsWith("#"));
  const cells = rows.map((row) => row.split(",").map(Number));
  return new Map(head.split(",").map((heading, column) => [heading, Float64Array.from(cells, (row) => row[column]!)]));
}

/**
 * A case as a design file: an own network without wall loss, at the frequencies of its results.
 * The openings keep the loads that the case gives them; the space only carries their sum to the listener.
 */
export function designOfCase(name: string): Record<string, unknown> {
  const c = readCase(name), d = c.driver;
  if (Math.abs(c.observe.solid_angle_sr - 2 * Math.PI) > 1e-12) throw new Error(`${name} is not in half space`);
  return {
    format: "airpath design",
    version: 1,
    note: c.title,
    name,
    driver: { name: d.name, Sd: d.sd_m2, Mms: d.mms_kg, Cms: d.cms_m_n, Rms: d.rms_n_s_m, Bl: d.bl_t_m, Re: d.re_ohm, Le: d.le_h },
    enclosure: { kind: "own network", front: c.network.front_node, back: c.network.back_node, elements: c.network.elements.map(elementOf) },
    drive: c.drive.voltage_v_rms,
    sourceResistance: c.drive.source_resistance_ohm,
    space: "half",
    distance: c.observe.distance_m,
    frequencies: [...readResponse(name).get("frequency_hz")!],
    air: { density: c.air.density_kg_m3, soundSpeed: c.air.sound_speed_m_s },
  };
}

function elementOf(e: CaseElement): Record<string, unknown> {
  const own = { mass: e.mass_kg_m4, resistance: e.resistance_pa_s_m3 };
  const area = e.area_m2 === undefined ? {} : { area: e.area_m2 };
  switch (e.type) {
    case "duct":
      return { kind: "duct", from: e.from, to: e.to, length: e.length_m, areaStart: e.area_start_m2, areaEnd: e.area_end_m2, flare: e.flare === "linear_area" ? "parabolic" : e.flare, wallLoss: false };
    case "volume":
      return { kind: "volume", node: e.node, volume: e.volume_m3 };
    case "mass":
      return { kind: "mass", from: e.from, to: e.to, mass: e.mass_kg_m4, resistance: e.resistance_pa_s_m3 ?? 0 };
    case "resistance":
      return { kind: "resistance", from: e.from, to: e.to, resistance: e.resistance_pa_s_m3 };
    case "resistance_to_outside":
      return { kind: "leak", name: e.opening, node: e.node, resistance: e.resistance_pa_s_m3 };
    case "radiation_parallel":
      return { kind: "opening", name: e.opening, node: e.node, ...area, load: { parallel: own } };
    case "radiation_series":
      return { kind: "opening", name: e.opening, node: e.node, ...area, load: { series: own } };
    case "pressure_release":
      return { kind: "opening", name: e.opening, node: e.node, ...area, load: "release" };
  }
}
