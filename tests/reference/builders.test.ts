import { describe, expect, it } from "vitest";
import { driver } from "../../kernel-helpers/words/driver.js";
import { buildBackHorn } from "../../src/enclosure/back-horn.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { Design } from "../../src/enclosure/design.js";
import { buildFourthOrderBandPass } from "../../src/enclosure/fourth-order-band-pass.js";
import { buildFrontHorn } from "../../src/enclosure/front-horn.js";
import { buildSixthOrderBandPass } from "../../src/enclosure/sixth-order-band-pass.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import type { OpeningLoad } from "../../src/acoustics/network.js";
import { makePath, type Path, type Station } from "../../src/acoustics/path.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { makeAir } from "../../src/air/air.js";
import { deviationOf, fromParts, type Deviation, worse } from "./deviations.js";
import { type CaseElement, caseNames, type CircuitCase, readCase, readResponse } from "./make-designs.js";

// The same cases as in circuits.test.ts, not as networks but through the builder of the enclosure. Source: AC analysis by a general circuit simulator, README.md.

/** dB and degrees; what is asked of every case */
const asked: Deviation = { decibels: 0.05, degrees: 0.5 };

const only = (c: CircuitCase, test: (e: CaseElement) => boolean): CaseElement => {
  const found = c.network.elements.filter(test);
  if (found.length !== 1) throw new Error(`${c.name}: ${found.length} elements in place of one`);
  return found[0]!;
};
const volumeAt = (c: CircuitCase, node: string): number => only(c, (e) => e.type === "volume" && e.node === node).volume_m3!;

function loadOf(e: CaseElement): OpeningLoad {
  if (e.type === "pressure_release") return { kind: "release" };
  return { kind: e.type === "radiation_parallel" ? "parallel" : "series", mass: e.mass_kg_m4!, resistance: e.resistance_pa_s_m3! };
}

/** Loads of all openings but leaks, under the names that our builders give them. */
function loadsOf(c: CircuitCase): Record<string, OpeningLoad> {
  return Object.fromEntries(c.network.elements.filter((e) => e.opening !== undefined && e.type !== "resistance_to_outside").map((e) => [e.opening!.replace("_", " "), loadOf(e)]));
}

const leakOf = (c: CircuitCase): { leakResistance?: number } => {
  const leak = c.network.elements.find((e) => e.type === "resistance_to_outside");
  return leak === undefined ? {} : { leakResistance: leak.resistance_pa_s_m3! };
};
const portOf = (c: CircuitCase, from: string): { mass: number; resistance?: number } => {
  const mass = only(c, (e) => e.type === "mass" && e.from === from);
  return { mass: mass.mass_kg_m4!, ...(mass.resistance_pa_s_m3 === undefined || mass.resistance_pa_s_m3 === 0 ? {} : { resistance: mass.resistance_pa_s_m3 }) };
};

/** All ducts of a case one after the other as one path, and the places of its nodes along it. */
function pathOf(c: CircuitCase): { readonly path: Path; readonly at: ReadonlyMap<string, number> } {
  const stations: Station[] = [], places = new Map<string, number>();
  let at = 0;
  for (const e of c.network.elements) {
    if (e.type !== "duct") continue;
    const flare = e.flare === "linear_area" ? "parabolic" : e.flare!;
    places.set(e.from!, at);
    stations.push({ at, area: e.area_start_m2!, flare });
    at += e.length_m!;
    places.set(e.to!, at);
    stations.push({ at, area: e.area_end_m2!, flare });
  }
  return { path: makePath({ stations, crossSection: { kind: "round" }, wallLoss: false }), at: places };
}

function build(c: CircuitCase): Design {
  const d = c.driver;
  const woofer = driver({ name: d.name, Sd: d.sd_m2, Mms: d.mms_kg, Cms: d.cms_m_n, Rms: d.rms_n_s_m, Bl: d.bl_t_m, Re: d.re_ohm, Le: d.le_h });
  const common = { driver: woofer, loads: loadsOf(c) };
  const { front_node: front, back_node: back } = c.network;
  const kind = c.name.replace(/^circuit-/, "");
  if (kind.startsWith("closed-box")) {
    const fill = c.network.elements.find((e) => e.type === "resistance");
    return buildClosedBox({ ...common, ...leakOf(c), volume: volumeAt(c, fill === undefined ? back : fill.to!), ...(fill === undefined ? {} : { absorptionResistance: fill.resistance_pa_s_m3! }) });
  }
  if (kind.startsWith("vented-box")) return buildVentedBox({ ...common, ...leakOf(c), volume: volumeAt(c, back), port: portOf(c, back) });
  if (kind.startsWith("band-pass-fourth")) return buildFourthOrderBandPass({ ...common, rear: { volume: volumeAt(c, back) }, front: { volume: volumeAt(c, front) }, port: portOf(c, front) });
  if (kind.startsWith("band-pass-sixth")) {
    return buildSixthOrderBandPass({ ...common, rear: { volume: volumeAt(c, back), ...leakOf(c) }, front: { volume: volumeAt(c, front) }, rearPort: portOf(c, back), frontPort: portOf(c, front) });
  }
  const { path, at } = pathOf(c);
  if (kind.startsWith("front-horn")) return buildFrontHorn({ ...common, path, rearChamber: { volume: volumeAt(c, back) }, throatChamber: { volume: volumeAt(c, front) } });
  if (kind.startsWith("back")) return buildBackHorn({ ...common, path, chamber: { volume: volumeAt(c, back) } });
  if (kind.startsWith("tapped-horn")) {
    const chamber = (node: string): { volume: number } | undefined => {
      const found = c.network.elements.find((e) => e.type === "volume" && e.node === node);
      return found === undefined ? undefined : { volume: found.volume_m3! };
    };
    const f = chamber(front), b = chamber(back);
    return buildTappedHorn({ ...common, path, frontTap: at.get(front)!, backTap: at.get(back)!, ...(f === undefined ? {} : { frontChamber: f }), ...(b === undefined ? {} : { backChamber: b }) });
  }
  return buildTransmissionLine({ ...common, path, driverAt: at.get(back)! });
}

describe("circuits solved by another program, through the builders of enclosures", () => {
  const kinds = new Map<string, number>();
  it.each(caseNames)("%s", (name) => {
    const c = readCase(name), response = readResponse(name), design = build(c);
    kinds.set(design.kind, (kinds.get(design.kind) ?? 0) + 1);
    const air = makeAir({ density: c.air.density_kg_m3, soundSpeed: c.air.sound_speed_m_s });
    const p = predictDesign(design, { drive: { voltage: c.drive.voltage_v_rms, sourceResistance: c.drive.source_resistance_ohm }, space: freeSpace("half"), distance: c.observe.distance_m, frequencies: response.get("frequency_hz")!, air });
    const wanted = (quantity: string, unit: string): ReturnType<typeof fromParts> => fromParts(response.get(`${quantity}_re_${unit}`)!, response.get(`${quantity}_im_${unit}`)!);
    const all: [string, Deviation][] = [
      ["far pressure", deviationOf(fromParts(p.pressure.re, p.pressure.im), wanted("far_pressure", "pa"))],
      ["impedance", deviationOf(fromParts(p.impedance.re, p.impedance.im), wanted("impedance", "ohm"))],
      ["displacement", deviationOf(fromParts(p.coneDisplacement.re, p.coneDisplacement.im), wanted("cone_displacement", "m"))],
    ];
    for (const o of p.openings) {
      const heading = `volume_velocity_${o.name.endsWith("leak") ? "leak" : o.name.replace(" ", "_")}`;
      all.push([o.name, deviationOf(fromParts(o.volumeVelocity.re, o.volumeVelocity.im), wanted(heading, "m3_s"))]);
    }
    const openings = [...response.keys()].filter((heading) => heading.startsWith("volume_velocity_")).length / 2;
    expect(p.openings.length).toBe(openings);
    expect(all.filter(([, d]) => !(d.decibels <= asked.decibels && d.degrees <= asked.degrees))).toEqual([]);
    const worst = all.reduce((a, [, d]) => ({ decibels: worse(a.decibels, d.decibels), degrees: worse(a.degrees, d.degrees) }), { decibels: 0, degrees: 0 });
    console.log(`${name} as a ${design.kind}: ${worst.decibels.toExponential(1)} dB, ${worst.degrees.toExponential(1)} degrees`);
  });

  it("went through eight kinds of enclosure", () => {
    expect([...kinds].sort()).toEqual([["back-loaded horn", 3], ["closed box", 3], ["fourth-order band-pass", 2], ["front-loaded horn", 1], ["sixth-order band-pass", 2], ["tapped horn", 6], ["transmission line", 4], ["vented box", 3]]);
  });
});
