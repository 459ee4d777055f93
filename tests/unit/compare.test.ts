import { describe, expect, test } from "vitest";
import type { Figure, Table, Text } from "../../kernel-helpers/show/view.js";
import { compare } from "../../kernel-helpers/words/compare.js";
import { atVolume, compareDesigns } from "../../kernel-helpers/words/compare-designs.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { path } from "../../kernel-helpers/words/path.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { tappedHornClaim } from "../../kernel-helpers/words/tapped-horn-claim.js";
import { InputError } from "../../src/errors.js";
import { magnitude } from "../../src/math/curve.js";
import { expectClose } from "../support/close.js";

const woofer = driver({ name: "small", Re: "3.5 ohm", Le: "0.6 mH", Bl: "6.3 T m", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Xmax: "6 mm", impedance: "4 ohm" });
const eight = driver({ name: "large", Re: "5.8 ohm", Bl: "11.5 T m", Sd: "220 cm^2", Mms: "40 g", Cms: "0.5 mm/N", Rms: "1.4 N s/m", impedance: "8 ohm" });
const closed = closedBox({ name: "closed", driver: woofer, volume: "36 L" });
const vented = ventedBox({ name: "vented", driver: woofer, volume: "36 L", port: { diameter: "80 mm", tuning: "38 Hz" } });
const horn = tappedHorn({ name: "horn", driver: woofer, path: path({ depth: "160 mm", flare: "parabolic", stations: [{ at: 0, area: "70 cm^2" }, { at: "2.35 m", area: "230 cm^2" }] }), frontTap: "8 cm", backTap: "2.25 m" });

const messageOf = (run: () => unknown): string => {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  throw new Error("nothing was thrown");
};
const rowOf = (table: Table, what: string): readonly string[] => table.rows.find((row) => row[0] === what)!.slice(1);

describe("compareDesigns", () => {
  const compared = compareDesigns([closed, vented, horn], { band: ["60 Hz", "120 Hz"], gross: { horn: "54 L" } });
  const [table, text, ...figures] = compared.views() as [Table, Text, ...Figure[]];

  test("shows one table, its definitions, and one figure each of level, group delay, phase, excursion and impedance", () => {
    expect(figures.map((f) => f.panels[0]!.quantity)).toEqual(["level", "group delay", "phase", "excursion", "impedance"]);
    for (const figure of figures) expect(figure.panels[0]!.traces.filter((t) => t.role !== "limit").map((t) => t.name)).toEqual(["closed", "vented", "horn"]);
    expect(table.columns).toEqual(["what", "closed", "vented", "horn"]);
    expect(text.title).toBe("How these figures are defined");
    expect(text.paragraphs.join(" ")).toMatch(/mean level from 60 Hz to 120 Hz.*pass band ends at 120 Hz.*ninth of an octave.*nominal impedance/s);
  });

  test("the table says what the predictions say", () => {
    expect(rowOf(table, "net volume").slice(0, 2)).toEqual(["36 L", "36 L"]);
    expect(rowOf(table, "gross volume")).toEqual(["-", "-", "54 L"]);
    compared.merits!.forEach((m, i) => {
      expect(Number.parseFloat(rowOf(table, "extension, -3 dB")[i]!)).toBeCloseTo(m.extensions[0]!.frequency!, 0);
      const p = compared.predictions[i]!;
      // against a plain search on the grid
      const inBand = (low: number): number[] => [...p.frequencies.keys()].filter((k) => p.frequencies[k]! >= low && p.frequencies[k]! <= 120);
      const low = m.extensions[2]!.frequency!;
      expectClose(m.largestExcursion.value, Math.max(...inBand(low).map((k) => p.excursionPeak[k]!)), 1e-2, "one step of the grid");
      expectClose(m.lowestImpedance.value, Math.min(...inBand(low).map((k) => magnitude(p.impedance)[k]!)), 1e-2, "one step of the grid");
      expectClose(m.sensitivity.at2V83, m.referenceLevel, 1e-12, "driven with 2.83 V");
      expectClose(m.sensitivity.at1W, m.referenceLevel + 20 * Math.log10(2 / 2.83), 1e-12, "1 W into 4 ohm is 2 V");
    });
  });

  test("net volumes beyond 2 % and another driver are told under the table", () => {
    expect(table.notes!.map((n) => n.where)).toContain("comparison");
    const notes = (compareDesigns([closed, closedBox({ name: "big", driver: eight, volume: "40 L" })]).views()[0] as Table).notes!;
    expect(notes.map((n) => n.text).join("; ")).toMatch(/11 % larger than that of "closed" \(40 L against 36 L\).*another driver/);
    const like = (compareDesigns([closed, atVolume(vented, "36.6 L")]).views()[0] as Table).notes!;
    expect(like.map((n) => n.where)).toEqual(["comparison"]);
  });

  test("equal drive is one voltage, equal power one power into each nominal impedance", () => {
    const two = [closed, closedBox({ name: "other", driver: eight, volume: "36 L" })];
    expect(compareDesigns(two, { drive: "4 W" }).predictions.map((p) => p.drive.voltage)).toEqual([4, 4]);
    const voltages = compareDesigns(two, { at: "equal power", drive: "4 W" }).predictions.map((p) => p.drive.voltage);
    expectClose(voltages[0]!, 4, 1e-12, "4 W into 4 ohm");
    expectClose(voltages[1]!, Math.sqrt(32), 1e-12, "4 W into 8 ohm");
    const pair = closedBox({ name: "pair", driver: woofer, volume: "72 L", drivers: { count: 2, wiring: "parallel" } });
    const both = compareDesigns([closed, pair], { at: "equal power", drive: "4 W" });
    expectClose(both.predictions[1]!.drive.voltage, Math.sqrt(8), 1e-12, "4 W into two of 4 ohm in parallel");
    const bare = closedBox({ driver: driver({ Re: "3.5 ohm", Bl: "6.3 T m", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m" }), volume: "36 L" });
    expect(messageOf(() => compareDesigns([closed, bare], { at: "equal power", drive: "4 W" }))).toMatch(/no nominal impedance/);
  });

  test("equal level gives every design the same reference level, by voltage alone", () => {
    const same = compareDesigns([closed, vented, horn], { at: "equal level", drive: "2.83 V", band: ["60 Hz", "120 Hz"] });
    for (const m of same.merits!) expectClose(m.referenceLevel, compared.merits![0]!.referenceLevel, 1e-9, "elementary");
    expect(same.predictions[0]!.drive.voltage).toBe(2.83);
    const given = compareDesigns([closed, horn], { at: "equal level", level: "90 dB", band: ["60 Hz", "120 Hz"] });
    for (const m of given.merits!) expectClose(m.referenceLevel, 90, 1e-9, "elementary");
    // extension and group delay do not depend on the voltage
    expectClose(given.merits![1]!.extensions[0]!.frequency!, compared.merits![2]!.extensions[0]!.frequency!, 1e-9, "linear");
  });

  test("what makes no sense is refused", () => {
    expect(messageOf(() => compareDesigns([closed]))).toMatch(/1 design; 2 to 20/);
    expect(messageOf(() => compareDesigns(closed as never))).toMatch(/a list of designs/);
    expect(messageOf(() => compareDesigns([closed, {} as never]))).toMatch(/compareDesigns\[1\]: something that is not a design/);
    expect(messageOf(() => compareDesigns([closed, vented], { at: "equal loudness" as never }))).toMatch(/"equal drive", "equal power", "equal level"/);
    expect(messageOf(() => compareDesigns([closed, vented], { level: "90 dB" }))).toMatch(/compareDesigns.level/);
    expect(messageOf(() => compareDesigns([closed, vented], { at: "equal power", drive: "3 V" }))).toMatch(/a power is expected/);
    expect(messageOf(() => compareDesigns([closed, vented], { gross: { closd: "40 L" } }))).toMatch(/did you mean "closed"/);
    expect(messageOf(() => compareDesigns([closed, vented], { gross: { closed: "30 L" } }))).toMatch(/less than the net volume/);
    expect(messageOf(() => compareDesigns([closed, vented], { band: ["5 Hz", "100 Hz"] }))).toMatch(/compareDesigns.band: 5 Hz to 100 Hz; frequencies of all predictions, 10 Hz to 500 Hz/);
    expect(messageOf(() => compareDesigns([closed, vented], { band: ["50 Hz", "100 Hz"], highestUpTo: 100 }))).toMatch(/both band and highestUpTo/);
    expect(messageOf(() => compareDesigns([closed, vented], { frequencies: [50, 60] }))).toMatch(/without a whole octave/);
    expect(messageOf(() => compareDesigns([closed, vented], { drvie: "3 V" } as never))).toMatch(/did you mean "drive"/);
  });
});

describe("compare", () => {
  test("has figures of merit against the octave up to 120 Hz, and still works on a few frequencies", () => {
    const full = compare(predict(closed), predict(vented));
    expect(full.merits).toHaveLength(2);
    expect((full.views()[1] as Text).paragraphs[0]).toMatch(/60 Hz to 120 Hz/);
    const few = compare(predict(closed, { frequencies: [40, 50, 60] }), predict(vented, { frequencies: [40, 50, 60] }));
    expect(few.merits).toBeUndefined();
    expect((few.views()[0] as Table).rows.map((r) => r[0])).toContain("highest level");
    expect(messageOf(() => compare(predict(closed)))).toMatch(/1 prediction; two or more/);
  });
});

describe("atVolume", () => {
  test("gives the same box with another volume: the tuning stays, the port becomes another one", () => {
    const smaller = atVolume(vented, "30 L");
    const fact = (d: typeof vented, name: RegExp): number => d.facts.find((f) => name.test(f.name))!.value;
    expect([smaller.name, smaller.kind, smaller.driver.Bl]).toEqual(["vented", "vented box", woofer.Bl]);
    expectClose(fact(smaller, /net volume/), 0.03, 1e-12, "elementary");
    expectClose(fact(smaller, /tuning/), fact(vented, /tuning/), 1e-9, "the tuning was given");
    expect(fact(smaller, /port length/)).toBeGreaterThan(fact(vented, /port length/));
    expectClose(fact(atVolume(closed, horn), /net volume/), fact(horn, /net volume/), 1e-12, "elementary");
  });

  test("is refused where there is no single volume", () => {
    expect(messageOf(() => atVolume(horn, "30 L"))).toMatch(/a tapped horn, which has no single volume/);
    expect(messageOf(() => atVolume(undefined as never, "30 L"))).toMatch(/a design is expected/);
    expect(messageOf(() => atVolume(closed, "30 cm"))).toMatch(/is a length/);
  });
});

describe("tappedHornClaim", () => {
  const claim = tappedHornClaim({ horn: predict(horn), vented: predict(vented), closed: predict(closed), band: ["30 Hz", "120 Hz"] });

  test("shows where the claims hold, shaded where the margin is positive, and what they are", () => {
    const [text, delay, phase] = claim.views() as [Text, Figure, Figure];
    expect(text.paragraphs).toHaveLength(3);
    for (const figure of [delay, phase]) {
      const band = figure.panels[1]!.bands![0]!, line = figure.panels[1]!.traces[0]!;
      line.y.forEach((y, i) => expect([band.low[i]!, band.high[i]!]).toEqual(y > 0 ? [0, y] : [NaN, NaN]));
    }
  });

  test("its margin is the difference of the predictions' group delays", () => {
    const h = predict(horn, { frequencies: [50, 60, 70] }), v = predict(vented, { frequencies: [50, 60, 70] });
    const at = claim.frequencies.findIndex((f) => f > 60);
    const between = (claim.lowerDelay.margin[at]! + claim.lowerDelay.margin[at - 1]!) / 2;
    expectClose(between, v.groupDelay[1]! - h.groupDelay[1]!, 0.05, "elementary", 2e-5);
  });

  test("what makes no sense is refused", () => {
    expect(messageOf(() => tappedHornClaim({ horn: predict(horn), vented: {} as never, closed: predict(closed), band: [30, 120] }))).toMatch(/tappedHornClaim.vented/);
    expect(messageOf(() => tappedHornClaim({ horn: predict(horn), vented: predict(vented), closed: predict(closed), band: [120, 30] }))).toMatch(/lower and then a higher/);
    expect(messageOf(() => tappedHornClaim({ horn: predict(horn), vented: predict(vented), closed: predict(closed) } as never))).toMatch(/tappedHornClaim.band/);
  });
});
