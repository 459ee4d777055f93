import { describe, expect, test } from "vitest";
import { toSI } from "../../kernel-helpers/quantity.js";
import { hasSpread, spreadFrom, whileDrawing, type WrittenSpread } from "../../kernel-helpers/quantity-spread.js";
import type { Dimension } from "../../kernel-helpers/quantity-dimensions.js";
import { setSink } from "../../kernel-helpers/show/display.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { fourthOrderBandPass } from "../../kernel-helpers/words/band-pass.js";
import { closedBox, passiveRadiatorBox, tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { backHorn } from "../../kernel-helpers/words/horns.js";
import { transmissionLine } from "../../kernel-helpers/words/lines.js";
import { path } from "../../kernel-helpers/words/path.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { uncertain, type UncertainPrediction, type Vary } from "../../kernel-helpers/words/spread.js";
import { InputError } from "../../src/errors.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import type { Prediction } from "../../src/predict/predict.js";
import { percentileCurves } from "../../src/search/spread.js";
import { expectClose } from "../support/close.js";

const read = (text: string, dimension: Dimension, field: string): number => toSI(text, dimension, field);
const written = (text: string, dimension: Dimension = "volume"): WrittenSpread => spreadFrom(text, dimension, "x", read);
const sheet = { Re: "3.5 ohm", Le: "0.6 mH", Bl: "6.3 T m", Sd: "88 cm^2", Mms: "13 g", Rms: "1.1 N s/m", Cms: "0.6 mm/N", Xmax: "6 mm", impedance: "4 ohm" };
const grid = "20:200:41";

const messageOf = async (run: () => unknown): Promise<string> => {
  try {
    await run();
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  throw new Error("nothing was thrown");
};

describe("texts with a spread", () => {
  test.each<[string, Dimension, number, number, string]>([
    ["7.9 L +- 10 %", "volume", 0.0079, 0.00079, "uniform"],
    ["7.9 L +-10%", "volume", 0.0079, 0.00079, "uniform"],
    ["7,9 L \u00b1 0,5 L", "volume", 0.0079, 0.0005, "uniform"],
    ["7.9 L +/- 500 cm^3 normal", "volume", 0.0079, 0.0005, "normal"],
    ["7.9 \u00b1 0.5 L (normal)", "volume", 0.0079, 0.0005, "normal"],
    ["120 mm +\u2212 1 mm uniform", "length", 0.12, 0.001, "uniform"],
    ["0.38 +- 0.02", "none", 0.38, 0.02, "uniform"],
    ["0.38 +- 5 %", "none", 0.38, 0.019, "uniform"],
    ["-3 mm +- 10 %", "length", -0.003, 0.0003, "uniform"],
    ["85 cm\u00b2 +- 0 %", "area", 0.0085, 0, "uniform"],
    ["1.2e6 Pa s/m^3 +- 2e5 Pa s/m^3", "acoustic resistance", 1.2e6, 2e5, "uniform"],
  ])("%s", (text, dimension, value, halfWidth, kind) => {
    const spread = written(text, dimension);
    expectClose(spread.value, value, 1e-12, "elementary");
    expectClose(spread.halfWidth, halfWidth, 1e-12, "elementary", 1e-15);
    expect(spread.kind).toBe(kind);
  });

  test.each<[string, Dimension, RegExp]>([
    ["+- 10 %", "volume", /no value/],
    ["7.9 L +-", "volume", /one value with one spread/],
    ["7.9 L +- 1 L +- 2 L", "volume", /one value with one spread/],
    ["7.9 L +- 3 cm", "volume", /"3 cm" is a length/],
    ["7.9 L +- 0.5", "volume", /a unit is missing/],
    ["7.9 L +- -0.5 L", "volume", /negative spread/],
    ["38 % +- 2 %", "none", /of what the percentage is/],
    ["90 dB +- 5 %", "decibel", /of what the percentage is/],
    ["7.9 L +- 10 % gaussian", "volume", /./],
  ])("%s is refused", async (text, dimension, expected) => {
    expect(await messageOf(() => written(text, dimension))).toMatch(expected);
  });

  test("plain quantities have none; outside of uncertain a spread is an error that says what to do", async () => {
    for (const text of ["7.9 L", "1e-3 m", "1e+3 m", "-3 mm", "+3 mm", "T m^-1"]) expect(hasSpread(text)).toBe(false);
    expect(await messageOf(() => driver({ ...sheet, Cms: "0.6 mm/N +- 15 %" }))).toBe('driver.Cms: "0.6 mm/N +- 15 %" has a spread; one value is expected outside of uncertain. Make drivers and designs with spreads inside the function that uncertain(...) runs.');
  });

  test("each word draws once for each text with a spread, in the order of reading", () => {
    const fields: string[] = [];
    const draws = { draw: (q: WrittenSpread): number => (fields.push(q.field), q.value) };
    whileDrawing(draws, () => {
      const woofer = driver({ Re: "3.5 ohm +- 1 %", Le: "0.6 mH +- 1 %", Bl: "6.3 T m +- 1 %", Sd: "88 cm^2 +- 1 %", Mms: "13 g +- 1 %", Cms: "0.6 mm/N +- 1 %", Rms: "1.1 N s/m +- 1 %" });
      closedBox({ driver: woofer, volume: "12 L +- 1 %", leak: "4e5 Pa s/m^3 +- 1 %" });
      ventedBox({ driver: woofer, volume: "12 L +- 1 %", port: { diameter: "60 mm +- 1 mm", length: "12 cm +- 1 mm" } });
      const stations = path({ depth: "16 cm +- 1 mm", stations: [{ at: 0, area: "70 cm^2 +- 1 %" }, { at: "2.3 m +- 1 cm", area: "300 cm^2 +- 1 %" }] });
      path({ pieces: [{ length: "1 m +- 1 mm", from: "70 cm^2 +- 1 %", to: "90 cm^2 +- 1 %" }] });
      tappedHorn({ driver: woofer, path: stations, frontTap: "9 cm +- 1 mm", backTap: "2.1 m +- 1 mm" });
      passiveRadiatorBox({ driver: woofer, volume: "30 L +- 1 %", radiator: { Sd: "220 cm^2 +- 1 %", fs: "28 Hz +- 1 %", Vas: "45 L +- 1 %", Qms: "7 +- 1", addedMass: "10 g +- 1 %" } });
      fourthOrderBandPass({ driver: woofer, rear: { volume: "30 L +- 1 %" }, front: { volume: "6 L +- 1 %" }, port: { area: "38 cm^2 +- 1 %", tuning: "70 Hz +- 1 %" } });
      transmissionLine({ driver: woofer, path: stations, driverAt: "45 cm +- 1 mm", fill: [{ to: "1.2 m +- 1 cm", flowResistivity: "2500 Pa s/m^2 +- 20 %" }] });
      backHorn({ driver: woofer, path: stations, chamber: { volume: "2.5 L +- 1 %" } });
    });
    expect(fields).toHaveLength(7 + 2 + 3 + 4 + 3 + 2 + 6 + 4 + 3 + 1);
    expect(new Set(fields).size).toBe(35); // nothing twice
  });
});

describe("uncertain", () => {
  const build = (): Prediction => predict(closedBox({ driver: driver({ ...sheet, Cms: "0.6 mm/N +- 15 %", Mms: "13 g +- 5 % normal" }), volume: "12 L +- 3 %" }), { frequencies: grid });
  const nominal = predict(closedBox({ driver: driver(sheet), volume: "12 L" }), { frequencies: grid });

  test("the nominal run has the nominal values, every run its own draws, and each curve is that of its draws", async () => {
    const u = await uncertain(build, { count: 20 });
    expect([...u.nominal.level]).toEqual([...nominal.level]);
    expect(u.varied.map((q) => [q.name, q.text, q.kind])).toEqual([["driver.Mms", "13 g +- 5 % normal", "normal"], ["driver.Cms", "0.6 mm/N +- 15 %", "uniform"], ["closedBox.volume", "12 L +- 3 %", "uniform"]]);
    for (const q of u.varied) expect(new Set(q.draws).size).toBe(20);
    for (const r of [0, 7, 19]) {
      const [Mms, Cms, volume] = u.varied.map((q) => q.draws[r]!) as [number, number, number];
      const p = predict(closedBox({ driver: driver({ ...sheet, Cms, Mms }), volume }), { frequencies: grid });
      expect([...u.bands.level.runs[r]!]).toEqual([...p.level]);
      expect([...u.bands.groupDelay.runs[r]!]).toEqual([...p.groupDelay]);
    }
    const [Mms, Cms] = u.varied.map((q) => q.draws) as [Float64Array, Float64Array];
    expect(Math.max(...Cms)).toBeLessThanOrEqual(0.6e-3 * 1.15);
    expect(Math.min(...Cms)).toBeGreaterThanOrEqual(0.6e-3 * 0.85);
    const spread = Math.sqrt(Mms.reduce((sum, m) => sum + (m / 0.013 - 1) ** 2, 0) / 20);
    expectClose(spread, 0.025, 0.15, "5 % is two standard deviations"); // 20 strata, the tails only roughly
  });

  test("quantities are drawn independently of each other, and the edges of the band are the percentiles asked for", async () => {
    const u = await uncertain(build, { count: 200, percentiles: [5, 95] });
    const rank = (x: Float64Array): number[] => [...x].map((v) => [...x].filter((w) => w < v).length / 199 - 0.5);
    const ranks = u.varied.map((q) => rank(q.draws));
    for (const [i, j] of [[0, 1], [0, 2], [1, 2]] as const) {
      const correlation = (12 / 200) * ranks[i]!.reduce((sum, x, r) => sum + x * ranks[j]![r]!, 0);
      expect(Math.abs(correlation)).toBeLessThan(4 / Math.sqrt(200)); // four standard errors
    }
    for (const band of Object.values(u.bands)) {
      const [low, high] = percentileCurves(band.runs, [5, 95]);
      expect([band.low, band.high]).toEqual([low, high]);
    }
    // of 200 runs 9.7 lie below the 5 % edge at each frequency (positions of definition 8)
    expect([...u.bands.level.low].map((edge, i) => u.bands.level.runs.filter((run) => run[i]! < edge).length).every((below) => below === 10)).toBe(true);
  });

  test("the same bytes for the same seed, others for another", async () => {
    const bytes = (u: UncertainPrediction): string => JSON.stringify([u.varied.map((q) => [...q.draws]), Object.values(u.bands).map((b) => [[...b.low], [...b.high]])]);
    const [a, b, c] = [await uncertain(build, { count: 12, seed: 7 }), await uncertain(build, { count: 12, seed: 7 }), await uncertain(build, { count: 12, seed: 8 })];
    expect(bytes(b)).toBe(bytes(a));
    expect(bytes(c)).not.toBe(bytes(a));
  });

  test("the band of the level meets the closed form where the level is proportional to one quantity", async () => {
    // the level is 20 lg of the voltage: percentiles of the drive are those of the level
    const box = closedBox({ driver: driver(sheet), volume: "12 L" });
    const louder = (vary: Vary): Prediction => predict(box, { frequencies: grid, drive: vary("10 V +- 20 % normal", "drive") });
    const u = await uncertain(louder, { count: 400, percentiles: [10, 90] });
    const quiet = predict(box, { frequencies: grid, drive: 1 });
    const expected = (p: number): number => 20 * Math.log10(10 + normalQuantile(p)); // 20 % of 10 V is two standard deviations
    u.nominal.frequencies.forEach((_, i) => {
      expectClose(u.bands.level.low[i]! - quiet.level[i]!, expected(0.1), 0, "elementary", 0.02);
      expectClose(u.bands.level.median[i]! - quiet.level[i]!, expected(0.5), 0, "elementary", 0.02);
      expectClose(u.bands.level.high[i]! - quiet.level[i]!, expected(0.9), 0, "elementary", 0.02);
      expectClose(u.bands.impedance.high[i]!, u.bands.impedance.low[i]!, 1e-12, "the drive does not change the impedance");
    });
    expect(u.varied[0]!.name).toBe("drive");
    // slope for a normal quantity is the mean derivative: 20 / ln 10 times E[1 / (1 + z / 10)] = 1 + 0.01 + 0.0003 per volt
    expectClose(u.varied[0]!.effect!.change, (2 / Math.log(10)) * 1.0103, 0.02, "elementary, with the scatter of the outermost strata");
  });

  test("vary takes any quantity: with a value, as a factor, as a deviation", async () => {
    const seen: number[][] = [];
    await uncertain((vary) => {
      seen.push([vary("12 L +- 3 %"), vary("+- 10 %"), vary("\u00b1 2 mm"), vary("0.38 +- 0.02"), vary("0.6 mm/N +- 0.1 mm/N", "compliance")]);
      return nominal;
    }, { count: 50 });
    expectClose(Math.max(...seen[0]!.map((x, i) => Math.abs(x - [0.012, 1, 0, 0.38, 0.0006][i]!))), 0, 0, "nominal first", 1e-15);
    expect(seen).toHaveLength(51);
    const ends = (i: number): [number, number] => [Math.min(...seen.map((row) => row[i]!)), Math.max(...seen.map((row) => row[i]!))];
    for (const [i, value, width] of [[0, 0.012, 0.00036], [1, 1, 0.1], [2, 0, 0.002], [3, 0.38, 0.02], [4, 0.0006, 0.0001]] as const) {
      const [low, high] = ends(i);
      expect(low).toBeGreaterThan(value - width);
      expect(low).toBeLessThan(value - 0.95 * width);
      expect(high).toBeLessThan(value + width);
      expect(high).toBeGreaterThan(value + 0.95 * width);
    }
  });

  test("shows a band behind the nominal curve, what is uncertain, and what that leaves open", async () => {
    const u = await uncertain(build, { count: 20, band: ["60 Hz", "120 Hz"] });
    const views = u.views();
    expect(views.map((v) => v.kind)).toEqual(["figure", "figure", "table", "table", "text"]);
    const panel = (views[0] as Figure).panels[0]!;
    expect([panel.traces.map((t) => t.name), panel.bands!.map((b) => b.name)]).toEqual([["nominal"], ["5 to 95 % of 20 runs"]]);
    expect(panel.bands![0]!.low.every((x, i) => x < panel.bands![0]!.high[i]!)).toBe(true);
    expect((views[2] as Table).rows.map((r) => r[1])).toEqual(["13 g +- 5 % normal", "0.6 mm/N +- 15 %", "12 L +- 3 %"]);
    const f3 = (views[3] as Table).rows.find((r) => r[0] === "extension, -3 dB")!.slice(1, 5).map((cell) => Number.parseFloat(cell));
    expect(f3[1]).toBeLessThan(f3[2]!);
    expect(f3[2]).toBeLessThan(f3[3]!);
    expect(u.plots.everything.views()).toHaveLength(5);
  });

  test("a bar shows how far it is, and goes when it is done", async () => {
    const texts: string[] = [];
    setSink((bundle) => texts.push(String(bundle["text/plain"])));
    await uncertain(build, { count: 10 });
    setSink(undefined);
    expect(texts[0]).toBe("Uncertain prediction: 0 of 10");
    expect(texts.at(-1)).toBe("");
  });

  test("what makes no sense is refused", async () => {
    const box = (volume: string | number): Prediction => predict(closedBox({ driver: driver(sheet), volume }), { frequencies: grid });
    expect(await messageOf(() => uncertain(() => box("12 L")))).toMatch(/uses no spread/);
    expect(await messageOf(() => uncertain((async () => box("12 L +- 1 %")) as never))).toMatch(/promise/);
    expect(await messageOf(() => uncertain((() => 3) as never))).toMatch(/not a prediction/);
    expect(await messageOf(() => uncertain("x" as never))).toMatch(/a function/);
    expect(await messageOf(() => uncertain(() => box("12 L +- 1 %"), { count: 5 }))).toMatch(/count: 5; a whole number from 10 to 10000/);
    expect(await messageOf(() => uncertain(() => box("12 L +- 1 %"), { seed: -1 }))).toMatch(/seed/);
    expect(await messageOf(() => uncertain(() => box("12 L +- 1 %"), { percentiles: [95, 5] }))).toMatch(/percentiles/);
    expect(await messageOf(() => uncertain(() => box("12 L +- 1 %"), { counts: 5 } as never))).toMatch(/did you mean "count"/);
    expect(await messageOf(() => uncertain((vary) => box(vary("12 L"))))).toMatch(/a value with its spread/);
    let n = 0;
    expect(await messageOf(() => uncertain(() => box(n++ === 3 ? "12 L +- 2 %" : "12 L +- 1 %"), { count: 10 }))).toMatch(/run 3 of 10: "12 L \+- 2 %" where the nominal run had "12 L \+- 1 %"/);
    n = 0;
    expect(await messageOf(() => uncertain((vary) => (n++ === 2 && vary("1 L +- 1 %"), box("12 L +- 1 %")), { count: 10 }))).toMatch(/run 2 of 10/);
    n = 0;
    expect(await messageOf(() => uncertain((vary) => (vary("1 L +- 1 %"), predict(closedBox({ driver: driver(sheet), volume: 0.012 }), { frequencies: [20 + n++, 100] })), { count: 10 }))).toMatch(/other frequencies/);
    expect(await messageOf(() => uncertain(() => box("1 L +- 200 %"), { count: 10 }))).toMatch(/run \d+ of 10: closedBox.volume: .*not above zero/);
    // and nothing of it stays switched on
    expect(await messageOf(() => toSI("1 L +- 1 %", "volume", "x"))).toMatch(/outside of uncertain/);
  });
});
