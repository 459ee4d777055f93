import { describe, expect, test } from "vitest";
import { predictionCsv } from "../../kernel-helpers/share/prediction-csv.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { compare } from "../../kernel-helpers/words/compare.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox } from "../../kernel-helpers/words/enclosures.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { uncertain } from "../../kernel-helpers/words/spread.js";
import { extremesOf } from "../../src/predict/extremes.js";

// invented
const common = { Re: "5.6 ohm", Le: "0.5 mH", Qms: 4, Qes: 0.4, Sd: "133 cm^2" } as const;
const small = driver({ ...common, name: "small", fs: "40 Hz", Vas: "20 L", Xmax: "6 mm" });
const large = driver({ ...common, name: "large", fs: "20 Hz", Vas: "60 L", Xmax: "1 mm" });
const placed = [{ name: "a", driver: small, front: "left", back: "tight" }, { name: "b", driver: large, front: "right", back: "wide" }] as const;
const elements = [
  { kind: "volume", node: "tight", volume: "1 L" },
  { kind: "volume", node: "wide", volume: "40 L" },
  { kind: "opening", name: "left cone", node: "left", area: "133 cm^2", cone: true },
  { kind: "opening", name: "right cone", node: "right", area: "133 cm^2", cone: true },
] as const;
const pair = ownNetwork({ name: "pair", drivers: placed, elements });
const drive = { drive: "10 V", frequencies: "10:300:120" } as const;
const largest = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), 0);

describe("drivers that move differently", () => {
  const p = predict(pair, drive), [a, b] = p.cones;

  test("each has its own motion: the second moves as it does alone, but for the sound of the first", () => {
    expect(p.cones.map((cone) => [cone.name, cone.Xmax])).toEqual([["a", 0.006], ["b", 0.001]]);
    const alone = predict(closedBox({ driver: large, volume: "40 L" }), drive);
    b!.excursionPeak.forEach((x, i) => expect(Math.abs(x / alone.excursionPeak[i]! - 1)).toBeLessThan(0.05));
    expect(largest(b!.excursionPeak)).toBeGreaterThan(4 * largest(a!.excursionPeak));
    p.frequencies.forEach((f, i) => {
      const omega = 2 * Math.PI * f;
      expect(p.excursionPeak[i]).toBe(Math.max(a!.excursionPeak[i]!, b!.excursionPeak[i]!));
      // velocity is the derivative of displacement
      expect(b!.velocity.re[i]!).toBeCloseTo(-omega * b!.displacement.im[i]!, 12);
      expect(b!.velocity.im[i]!).toBeCloseTo(omega * b!.displacement.re[i]!, 12);
    });
    expect(p.coneDisplacement.re).toEqual(a!.displacement.re);
    expect(p.pressureAcrossCone.re).toEqual(a!.pressureAcross.re);
  });

  test("the one beyond its Xmax is named", () => {
    const said = p.notes.filter((note) => note.about === "excursion");
    expect(said).toHaveLength(1);
    expect(said[0]!.text).toMatch(/^the cone of b would move beyond Xmax \(1\.0 mm peak\) at .*, up to \d+\.\d mm/);
    // a driver for those that name none does not lend its Xmax to the others
    const named = ownNetwork({ driver: large, drivers: [placed[0], { name: "b", front: "right", back: "wide" }], elements });
    expect(predict(named, drive).notes.filter((note) => note.about === "excursion").map((note) => note.text)).toEqual([said[0]!.text]);
    const first = ownNetwork({ driver: large, drivers: [{ ...placed[0] }, { ...placed[1], driver: small }], elements });
    expect(predict(first, { ...drive, drive: "2 V" }).notes.filter((note) => note.text.includes("1.0 mm peak"))).toEqual([]);
  });

  test("plots, tables and the table in text have all of them", () => {
    const lines = (figure: unknown): string[] => (figure as Figure).panels[0]!.traces.map((trace) => trace.name);
    expect(lines(p.plots.excursion.views()[0])).toEqual(["a", "b", "Xmax of a", "Xmax of b"]);
    expect(lines(p.plots.pressureAcrossCone.views()[0])).toEqual(["a", "b"]);
    const rows = (p.views().at(-1) as Table).rows.map(([what]) => what);
    expect(rows).toContain("largest excursion of b, peak");
    expect(rows).toContain("largest pressure across the cone of a, RMS");
    const extremes = extremesOf(p);
    expect(extremes.excursion.value).toBe(extremes.cones[1]!.excursion.value);
    expect(extremes.excursion.value / largest(b!.excursionPeak)).toBeCloseTo(1, 2);
    expect(predictionCsv(p, { version: "0" })).toContain("excursion b (mm peak)");
  });

  test("comparisons and spreads count the worst", async () => {
    const one = predict(closedBox({ driver: small, volume: "12 L", name: "one" }), drive);
    const both = compare(one, p);
    expect((both.plots.excursion.views()[0] as Figure).panels[0]!.traces.map((trace) => trace.name)).toEqual(["one", "a of pair", "b of pair", "Xmax of small", "Xmax of b"]);
    expect(both.merits![1]!.largestExcursion.value).toBeGreaterThan(0.9 * largest(p.cones[1]!.excursionPeak.filter((_, i) => p.frequencies[i]! > 40)));
    expect(both.merits![1]!.largestExcursion.value).toBeGreaterThan(2 * largest(p.cones[0]!.excursionPeak));
    const u = await uncertain(() => predict(ownNetwork({ drivers: placed, elements: elements.map((e) => (e.kind === "volume" && e.node === "tight" ? { ...e, volume: "1 L +- 10 %" } : e)) }), drive), { count: 10, seed: 1 });
    u.bands.excursion.high.forEach((x, i) => expect(x).toBeGreaterThan(0.99 * p.excursionPeak[i]!));
    expect((u.plots.excursion.views()[0] as Figure).panels[0]!.traces.map((trace) => trace.name)).toEqual(["nominal, the cone that moves farthest", "nominal, a", "nominal, b", "Xmax of a", "Xmax of b"]);
  });

  test("those that move alike are one, turned round or not", () => {
    for (const mounting of ["same", "push-pull", "opposed"] as const) {
      const { cones, views } = predict(closedBox({ driver: small, volume: "24 L", drivers: { count: 2, mounting } }), drive);
      expect(cones.map((cone) => cone.drivers)).toEqual([["driver 1", "driver 2"]]);
      expect((views().at(-1) as Table).rows.map(([what]) => what)).toContain("largest excursion, peak");
    }
    expect(predict(closedBox({ driver: small, volume: "60 L", drivers: { count: 5 } }), drive).cones[0]!.name).toBe("driver 1 and 4 that move alike");
  });
});
