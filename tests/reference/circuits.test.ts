import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { predictionCsv } from "../../kernel-helpers/share/prediction-csv.js";
import { predictDesignFile } from "../../kernel-helpers/words/design-file.js";
import { designFromJson } from "../../kernel-helpers/words/design-json.js";
import type { Prediction } from "../../src/predict/predict.js";
import { clone, ensureBuilt } from "../notebooks/fixtures/built.js";
import { type Deviation, deviationOf, fromParts, type Values, worse } from "./deviations.js";
import { caseNames, columnsOf, designOfCase, readResponse } from "./make-designs.js";

// Source of every wanted value: AC analysis of the analogous circuit by a general circuit simulator, see README.md beside this file.

type Columns = ReadonlyMap<string, Float64Array>;
const limits = JSON.parse(readFileSync(new URL("./limits.json", import.meta.url), "utf8")) as Record<string, Deviation>;
/** What is asked of every case, dB and degrees. */
const asked: Deviation = { decibels: 0.05, degrees: 0.5 };
/** Limits are not recorded below what nine digits in both tables can tell, dB and degrees. */
const floor: Deviation = { decibels: 5e-7, degrees: 3e-6 };
/** Cases that go through the command line. */
const throughTheCommand = ["circuit-vented-box-200", "circuit-closed-box-lossy-10-inch", "circuit-back-loaded-horn-exponential-5-inch", "circuit-tapped-horn-three-part-300", "circuit-tapped-horn-linear-130"];

const folder = mkdtempSync(join(tmpdir(), "airpath-reference-"));
beforeAll(ensureBuilt);
afterAll(() => rmSync(folder, { recursive: true }));

function wanted(response: Columns, quantity: string, unit: string): Values {
  return fromParts(response.get(`${quantity}_re_${unit}`)!, response.get(`${quantity}_im_${unit}`)!);
}

/** Deviations of what stands in the table that a person gets. */
function tableDeviations(text: string, response: Columns): Record<string, Deviation> {
  const table = columnsOf(text);
  const displacement = wanted(response, "cone_displacement", "m");
  return {
    level: deviationOf({ size: table.get("level (dB re 20 uPa)")!.map((level) => 20e-6 * 10 ** (level / 20)), degrees: table.get("phase (degrees)") }, wanted(response, "far_pressure", "pa")),
    impedance: deviationOf({ size: table.get("impedance (ohm)")!, degrees: table.get("impedance phase (degrees)") }, wanted(response, "impedance", "ohm")),
    excursion: deviationOf({ size: table.get("excursion (mm peak)")!.map((x) => x / (1e3 * Math.SQRT2)), degrees: undefined }, displacement),
  };
}

/** Deviations of what only the prediction itself holds. */
function otherDeviations(p: Prediction, response: Columns): Record<string, Deviation> {
  const all: Record<string, Deviation> = {};
  for (const opening of p.openings) {
    const { re, im } = opening.volumeVelocity;
    all[`volume velocity of ${opening.name}`] = deviationOf(fromParts(re, im), wanted(response, `volume_velocity_${opening.name}`, "m3_s"));
  }
  const { re, im } = p.coneDisplacement;
  all["cone displacement"] = deviationOf(fromParts(re, im), wanted(response, "cone_displacement", "m"));
  const difference = (part: string): Float64Array => response.get(`pressure_front_face_${part}_pa`)!.map((x, i) => x - response.get(`pressure_back_face_${part}_pa`)![i]!);
  all["pressure across the cone"] = deviationOf(fromParts(p.pressureAcrossCone.re, p.pressureAcrossCone.im), fromParts(difference("re"), difference("im")));
  return all;
}

function worstOf(all: Record<string, Deviation>): Deviation {
  return Object.values(all).reduce((a, b) => ({ decibels: worse(a.decibels, b.decibels), degrees: worse(a.degrees, b.degrees) }), { decibels: 0, degrees: 0 });
}

function expectWithin(name: string, all: Record<string, Deviation>): void {
  const limit = limits[name]!;
  const over = Object.entries(all).filter(([, d]) => !(d.decibels <= limit.decibels && d.degrees <= limit.degrees));
  expect(over, `${name}: beyond ${limit.decibels} dB or ${limit.degrees} degrees`).toEqual([]);
}

describe("circuits solved by another program", () => {
  const measured = new Map<string, Deviation>();

  it("has 24 cases, each with a limit that is at least as strict as what is asked", () => {
    expect(caseNames.length).toBe(24);
    expect(Object.keys(limits).sort()).toEqual(caseNames);
    for (const limit of Object.values(limits)) {
      expect(limit.decibels).toBeLessThanOrEqual(asked.decibels);
      expect(limit.degrees).toBeLessThanOrEqual(asked.degrees);
    }
  });

  it.each(caseNames)("%s", (name) => {
    const file = designFromJson(JSON.parse(JSON.stringify(designOfCase(name))));
    const prediction = predictDesignFile(file);
    const response = readResponse(name);
    const all = { ...tableDeviations(predictionCsv(prediction, { version: "test" }), response), ...otherDeviations(prediction, response) };
    const openings = [...response.keys()].filter((heading) => heading.startsWith("volume_velocity_")).length / 2;
    expect(prediction.openings.length).toBe(openings);
    measured.set(name, worstOf(all));
    expectWithin(name, all);
  });

  it.each(throughTheCommand)("%s through the command line", (name) => {
    const design = join(folder, `${name}.json`), table = join(folder, `${name}.csv`);
    writeFileSync(design, JSON.stringify(designOfCase(name)));
    const run = spawnSync(process.execPath, [join(clone, "kernel-helpers", "airpath.cjs"), "predict", design, "-o", table], { encoding: "utf8" });
    expect({ status: run.status, stdout: run.stdout, trouble: run.status === 0 ? "" : run.stderr }).toEqual({ status: 0, stdout: "", trouble: "" });
    expectWithin(name, tableDeviations(readFileSync(table, "utf8"), readResponse(name)));
  });

  it("tells which limits can be tightened by three", () => {
    const lines = caseNames.map((name) => {
      const m = measured.get(name)!, l = limits[name]!;
      const loose = (["decibels", "degrees"] as const).filter((key) => l[key] > 3 * Math.max(m[key], floor[key]));
      return `${name}: ${m.decibels.toExponential(1)} dB of ${l.decibels}, ${m.degrees.toExponential(1)} degrees of ${l.degrees}${loose.length === 0 ? "" : `; ${loose.join(" and ")} can be tightened`}`;
    });
    console.log(lines.join("\n"));
    expect(measured.size).toBe(caseNames.length);
  });
});
