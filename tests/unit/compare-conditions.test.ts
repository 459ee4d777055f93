import { describe, expect, test } from "vitest";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { compare, type Comparison } from "../../kernel-helpers/words/compare.js";
import { compareDesigns } from "../../kernel-helpers/words/compare-designs.js";
import { distinctNames } from "../../kernel-helpers/words/conditions.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import type { PredictionPlots } from "../../kernel-helpers/words/prediction-plots.js";

const woofer = driver({ name: "small", Re: "3.5 ohm", Le: "0.6 mH", Bl: "6.3 T m", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Xmax: "6 mm", impedance: "4 ohm" });
const closed = closedBox({ name: "closed", driver: woofer, volume: "36 L" });
const vented = ventedBox({ name: "vented", driver: woofer, volume: "36 L", port: { diameter: "80 mm", tuning: "38 Hz" } });
const frequencies = "30:200:40";

const tableOf = (comparison: Comparison & { views(): readonly unknown[] }): Table => comparison.views()[0] as Table;
const rowOf = (table: Table, what: string): readonly string[] => table.rows.find((row) => row[0] === what)!.slice(1);
const rounded = (values: ArrayLike<number>): number[] => Array.from(values, (f) => Number(f.toPrecision(12)));

describe("the conditions of a comparison", () => {
  test("stand in the table for each design, also where they are the same", () => {
    const table = tableOf(compare(predict(closed, { frequencies }), predict(vented, { frequencies, drive: "60 W", space: "quarter", distance: "2 m" })));
    expect(rowOf(table, "drive")).toEqual(["2.83 V", "60 W into 4 ohm (15.5 V)"]);
    expect(rowOf(table, "space")).toEqual(["half space", "quarter space"]);
    expect(rowOf(table, "distance")).toEqual(["1 m", "2 m"]);
    expect(table.title).toBe("Designs compared");
    const same = tableOf(compareDesigns([closed, vented], { frequencies: "20:400:80" }));
    expect([rowOf(same, "drive"), rowOf(same, "space"), rowOf(same, "distance")]).toEqual([["2.83 V", "2.83 V"], ["half space", "half space"], ["1 m", "1 m"]]);
  });

  test("a power is told beside the voltage and the impedance that it was counted into, in subtitles and notes", () => {
    const loud = predict(closed, { frequencies, drive: "60 watts" });
    expect(loud.drive).toEqual({ voltage: Math.sqrt(240), sourceResistance: 0, nominal: { power: 60, impedance: 4 } });
    expect((loud.plots.level.views()[0] as Figure).subtitle).toBe("60 W into 4 ohm (15.5 V), half space, 1 m");
    expect(predict(closed, { frequencies, drive: "15.5 V" }).drive).toEqual({ voltage: 15.5, sourceResistance: 0 });
    const notes = tableOf(compareDesigns([closed, vented], { drive: "60 W", frequencies: "20:400:80" })).notes!;
    expect(notes.map((note) => note.text)).toContain("compared at the same voltage, 60 W into 4 ohm (15.5 V)");
  });
});

describe("designs of one name", () => {
  test("are told apart by what differs, else by numbers, in the table and in every legend", () => {
    const comparison = compare(predict(closed, { frequencies }), predict(closed, { frequencies, space: "quarter" }), predict(vented, { frequencies }));
    const wanted = ["closed, half space", "closed, quarter space", "vented"];
    expect(tableOf(comparison).columns.slice(1)).toEqual(wanted);
    for (const key of ["level", "phase", "groupDelay", "impedance", "excursion", "pressureAcrossCone", "excessPhase", "step", "efficiency", "coneLoad"] satisfies (keyof PredictionPlots)[]) {
      const names = (comparison.plots[key].views()[0] as Figure).panels[0]!.traces.filter((trace) => trace.role !== "limit").map((trace) => trace.name);
      expect(names, key).toEqual(wanted);
    }
    const like = closedBox({ name: "closed", driver: woofer, volume: "20 L" });
    expect(tableOf(compareDesigns([closed, like, vented], { frequencies: "20:400:80" })).columns.slice(1)).toEqual(["closed (1)", "closed (2)", "vented"]);
    // the predictions themselves stay as they were given
    expect(comparison.predictions.map((p) => p.design.name)).toEqual(["closed", "closed", "vented"]);
  });

  test("differ in all that differs, and get numbers where that is not enough", () => {
    const one = predict(closed, { frequencies: [50, 60] }), far = predict(closed, { frequencies: [50, 60], space: "quarter", distance: "2 m" });
    expect(distinctNames([one, far])).toEqual(["closed, half space, 1 m", "closed, quarter space, 2 m"]);
    expect(distinctNames([one, one, far])).toEqual(["closed, half space, 1 m (1)", "closed, half space, 1 m (2)", "closed, quarter space, 2 m"]);
    expect(distinctNames([one, predict(vented, { frequencies: [50, 60] })])).toEqual(["closed", "vented"]);
  });

  test("cannot have gross volumes by name", () => {
    expect(() => compareDesigns([closed, closed], { gross: { closed: "50 L" } })).toThrow(/compareDesigns.gross: two designs called "closed"; names that tell the designs apart are expected with it. give each design a name of its own/);
  });
});

describe("predictions over other frequencies", () => {
  test("are all seen whole in every figure over frequency", () => {
    const comparison = compare(predict(closed, { frequencies: "30:200:40" }), predict(vented, { frequencies: "20:100:40" }), predict(closed, { frequencies: "50:400:40", space: "full" }));
    for (const key of ["level", "phase", "groupDelay", "impedance", "excursion", "airSpeed", "pressureAcrossCone", "minimumPhase", "excessPhase", "efficiency", "coneLoad"] satisfies (keyof PredictionPlots)[]) {
      expect(rounded((comparison.plots[key].views()[0] as Figure).x.range!), key).toEqual([20, 400]);
    }
    const limit = (comparison.plots.excursion.views()[0] as Figure).panels[0]!.traces.find((trace) => trace.role === "limit")!;
    expect(rounded(limit.x)).toEqual([20, 400]);
  });
});
