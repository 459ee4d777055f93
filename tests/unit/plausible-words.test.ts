import { describe, expect, test } from "vitest";
import { compareDesigns } from "../../kernel-helpers/words/compare-designs.js";
import { driver, type DriverOptions } from "../../kernel-helpers/words/driver.js";
import { closedBox, tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { backHorn, frontHorn } from "../../kernel-helpers/words/horns.js";
import { transmissionLine } from "../../kernel-helpers/words/lines.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { space } from "../../kernel-helpers/words/space.js";
import { tableHtml } from "../../kernel-helpers/show/table.js";
import type { Table } from "../../kernel-helpers/show/view.js";
import type { Note } from "../../src/notes.js";

// invented
const sheet: DriverOptions = { name: "invented", Re: "3.5 ohm", Le: "0.6 mH", Bl: "6.3 T m", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Xmax: "6 mm", power: "60 W", impedance: "4 ohm" };
const woofer = driver(sheet);
const way = { stations: [{ at: 0, area: "70 cm^2" }, { at: "2 m", area: "300 cm^2" }] };
const texts = (notes: readonly Note[] | undefined): string => (notes ?? []).map((note) => note.text).join("\n");
const told = (change: DriverOptions): string => texts((driver({ ...sheet, ...change }).views()[0] as Table).notes);
const inDesign = (change: DriverOptions): string => texts(closedBox({ driver: driver({ ...sheet, ...change }), volume: "12 L" }).notes);

describe("a driver whose parameters do not go together", () => {
  test.each<[string, DriverOptions, RegExp]>([
    // Qes = 2 pi fs Mms Re / Bl^2 (Small 1972): a hundredth of 0.41
    ["ten times the force factor", { Bl: "63 T m" }, /^Qes 0\.0041 is less than drivers have; it follows from Re 3\.5 ohm, Mms 13 g, Bl 63 T m and Cms 0\.6 mm\/N$/],
    // 8 rho a^3 / 3 with a = 52.9 mm is 0.476 g (Lamb, Hydrodynamics)
    ["a mass below that of the air", { Mms: "13 mg" }, /^Mms 13 mg is less than the air alone that moves with Sd 88 cm\^2, 476 mg$/m],
    ["a suspension ten times as limp", { Cms: "6 mm/N" }, /^Vas 65\.9 L is more than cones of Sd 88 cm\^2 have: the suspension is too limp for them, Cms 6 mm\/N$/],
    ["an area in the wrong unit", { Sd: "88 mm^2" }, /^Mms 13 g is more than cones of Sd 88 mm\^2 have/],
    ["an excursion of its radius", { Xmax: "6 cm" }, /^Xmax 6 cm is more than cones of Sd 88 cm\^2 have; it is counted one way$/],
    ["an impedance far from Re", { impedance: "400 ohm" }, /^impedance 400 ohm does not go with Re 3\.5 ohm: drivers have 1 to 2 times their Re$/],
  ])("is told: %s", (_, change, expected) => {
    expect(told(change)).toMatch(expected);
    expect(inDesign(change)).not.toBe("");
  });

  test("is not told of what the trade has, from a tweeter to a large woofer", () => {
    // orders of size, from memory
    const usual: readonly DriverOptions[] = [
      {},
      { Re: "5.6 ohm", Bl: "3.2 T m", Sd: "7 cm^2", Mms: "0.35 g", Cms: "0.07 mm/N", Rms: "0.9 N s/m", Xmax: "0.3 mm", impedance: "8 ohm" },
      { Re: "3.3 ohm", Bl: "3 T m", Sd: "13 cm^2", Mms: "4 g", Cms: "0.6 mm/N", Rms: "0.5 N s/m", Xmax: "5 mm", impedance: "4 ohm" },
      { Re: "5.3 ohm", Bl: "24 T m", Sd: "1210 cm^2", Mms: "210 g", Cms: "0.12 mm/N", Rms: "9 N s/m", Xmax: "9 mm", impedance: "8 ohm" },
      { Re: "3.4 ohm", Bl: "19 T m", Sd: "510 cm^2", Mms: "330 g", Cms: "0.15 mm/N", Rms: "7 N s/m", Xmax: "30 mm", impedance: "4 ohm" },
      { Re: "5.8 ohm", Bl: "5.5 T m", Sd: "215 cm^2", Mms: "12 g", Cms: "1.6 mm/N", Rms: "1.2 N s/m", Xmax: "3 mm", impedance: "8 ohm" },
    ];
    for (const change of usual) expect(told(change)).toBe("");
  });

  test("says values in the units of people, and the words that driver takes", () => {
    expect(inDesign({ Xmax: "6 um" })).toContain("Xmax 6 um is less than drivers have");
    expect(inDesign({ power: "60 kW" })).toContain("power 60 kW is more than drivers have");
    expect(told({ power: "60 kW" })).toContain("power 60 kW is more than drivers have");
    const p = predict(closedBox({ driver: driver({ ...sheet, Xmax: "6 um" }), volume: "12 L" }), { frequencies: "20:200:20" });
    expect(texts(p.notes)).toMatch(/beyond Xmax \(6 um peak\) at .*, up to 2\.\d mm at 2\d(\.\d)? Hz/);
  });
});

describe("so little air that it holds the cone", () => {
  test("is told of a box, in litres", () => {
    expect(texts(closedBox({ driver: woofer, volume: "10 mL" }).notes)).toMatch(/^the air at "box" is 10 mL, 660 times less than the Vas of 6\.59 L: so little air holds the cone still$/);
    expect(texts(ventedBox({ driver: woofer, volume: "10 mL", port: { diameter: "10 mm", length: "20 mm" } }).notes)).toContain("holds the cone still");
  });

  test("is not told of the small chamber of a horn, of a small box, or of a path", () => {
    for (const design of [
      closedBox({ driver: woofer, volume: "1 L" }),
      frontHorn({ driver: woofer, path: way, throatChamber: { volume: "50 mL" }, rearChamber: { volume: "3 L" } }),
      backHorn({ driver: woofer, path: way, chamber: { volume: "50 mL" } }),
      tappedHorn({ driver: woofer, path: way, frontTap: "9 cm", backTap: "1.8 m" }),
    ]) expect(texts(design.notes)).toBe("");
  });
});

describe("a listener near a leak", () => {
  const near = (design: Parameters<typeof predict>[0], distance: number): string[] => predict(design, { distance, frequencies: "20:200:5" }).notes.map((n) => n.text).filter((text) => text.includes("not far against"));
  test("is not told of the long side of the slot, but of the largest excess", () => {
    const leak = { slot: { width: "60 cm", height: "0.1 mm", depth: "18 mm" } };
    expect(near(closedBox({ driver: woofer, volume: "12 L", leak }), 1)).toEqual([]);
    const port = { area: "200 cm^2", length: "10 cm" };
    const [text] = near(ventedBox({ driver: woofer, volume: "40 L", port, leak }), 0.2);
    // a^2 = A / pi, r = 0.2 m in 2 (sqrt(1 + (a/r)^2) - 1) (r/a)^2 (Kinsler et al., Fundamentals of Acoustics)
    const x = 0.02 / Math.PI / 0.04;
    expect(text).toContain(`against the port of 160 mm`);
    expect(text).toContain(`${(-20 * Math.log10((2 * (Math.sqrt(1 + x) - 1)) / x)).toFixed(1)} dB too high`);
  });

  test("is told of a long port by the integral of 1/R over it", () => {
    const [text] = near(ventedBox({ driver: woofer, volume: "40 L", port: { slot: { width: "60 cm", height: "3 cm" }, length: "10 cm" } }), 0.5);
    let sum = 0;
    const n = 400;
    for (let i = 0; i < n; i++) for (let j = 0; j < 20; j++) sum += 1 / Math.hypot(0.5, 0.6 * ((i + 0.5) / n - 0.5), 0.03 * ((j + 0.5) / 20 - 0.5)) / n / 20;
    expect(text).toContain(`${(-20 * Math.log10(sum * 0.5)).toFixed(1)} dB too high`);
  });
});

describe("words", () => {
  const message = (make: () => unknown): string => {
    try {
      make();
    } catch (error) {
      return (error as Error).message;
    }
    return "nothing was thrown";
  };

  test("a fill in braces fills the whole line, as one stretch does", () => {
    const fill = { flowResistivity: "3000 Pa s/m^2" }, line = (words: object) => transmissionLine({ driver: woofer, path: way, fill: words as never });
    expect(JSON.stringify(line(fill))).toBe(JSON.stringify(line([fill])));
    expect(line(fill).filled).toMatchObject([{ from: 0, to: 2 }]);
    expect(message(() => line({ flowResistivty: 1 }))).toMatch(/^transmissionLine\.fill: no option "flowResistivty"; did you mean "flowResistivity"\?/);
    expect(message(() => line("wool" as never))).toMatch(/a list of stretches is expected/);
  });

  test("a leak whose sizes stand in the wrong place is told the right one", () => {
    const made = (leak: object | string): string => message(() => closedBox({ driver: woofer, volume: "12 L", leak: leak as never }));
    expect(made({ width: "30 cm", height: "0.4 mm", depth: "18 mm" })).toMatch(/^closedBox\.leak: width, height, depth without a slot;.*Write \{ slot: \{ width:/);
    expect(made({ slot: { width: "30 cm", height: "0.4 mm", length: "18 mm" } })).toMatch(/^closedBox\.leak\.slot: no option "length"; .*through the wall is the depth/);
    for (const text of [made("5 cm^2"), message(() => space.cabin({ length: "2.4 m", width: "1.4 m", height: "1.1 m", box: [0.3, 0.4, 0.3], listener: [1.5, 0.4, 0.9], leak: "5 cm^2" }))]) {
      expect(text).toMatch(/\.leak: "5 cm\^2" is a size, not a resistance; an acoustic resistance is expected, such as "5000 Pa s\/m\^3"/);
    }
  });

  test("a longest group delay at an end of the band says so, a peak within it does not", () => {
    const closed = closedBox({ driver: woofer, volume: "30 L", name: "closed" }), vented = ventedBox({ driver: woofer, volume: "30 L", port: { diameter: "80 mm", tuning: "38 Hz" }, name: "vented" });
    const compared = compareDesigns([closed, vented], { band: ["50 Hz", "100 Hz"] });
    const [, ofClosed, ofVented] = (compared.views()[0] as Table).rows.find(([what]) => what === "longest group delay at")!;
    expect(ofClosed).toMatch(/^[\d.]+ Hz, at the lower end of the band$/);
    expect(ofVented).toMatch(/^[\d.]+ Hz$/);
  });

  test("orders of modes stay on one line", () => {
    const html = tableHtml({ kind: "table", title: "modes", columns: ["order", "shape"], rows: [["(1, 0, 0)", "at (x, y)"]] });
    expect(html).toMatch(/white-space:nowrap">\(1, 0, 0\)</);
    expect(html.match(/nowrap/g)).toHaveLength(1);
  });
});
