import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Ajv from "ajv";
import { afterAll, describe, expect, it } from "vitest";
import { isDrawing, valueOf } from "../../kernel-helpers/quantity-spread.js";
import { predictDesignFile, predictSpreads, readDesign } from "../../kernel-helpers/words/design-file.js";
import { designFromJson } from "../../kernel-helpers/words/design-json.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { uncertain } from "../../kernel-helpers/words/spread.js";
import { InputError } from "../../src/errors.js";
import { demoDesigns, type Json, withValue } from "../support/sample-designs.js";

const folder = mkdtempSync(join(tmpdir(), "airpath-spread-"));
afterAll(() => rmSync(folder, { recursive: true }));

const plain = { ...(demoDesigns()["closed-box.json"] as { readonly [key: string]: Json }), frequencies: [40, 60, 100] };
const withSpreads = withValue(withValue(plain, ["enclosure", "volume"], "12 L +- 10 %"), ["driver", "Cms"], "0.6 mm/N \u00b1 15 % normal");
const nominal = withValue(withValue(plain, ["enclosure", "volume"], "12 L"), ["driver", "Cms"], "0.6 mm/N") as { readonly [key: string]: Json };
const refusal = (value: unknown): string => {
  try {
    designFromJson(value);
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  return expect.fail("an error is expected");
};

describe("a design file with spreads", () => {
  it("gives the design with nominal values and says so, outside of uncertain", () => {
    const file = designFromJson(withSpreads, "x.json");
    expect(file.spreads).toEqual(["driver.Cms 0.6 mm/N \u00b1 15 % normal", "closedBox.volume 12 L +- 10 %"]);
    expect(predictDesignFile(file).level).toEqual(predictDesignFile(designFromJson(nominal)).level);
    expect(file.design.notes.map((note) => note.text)).toContain(`2 quantities have spreads (${file.spreads.join(", ")}); the nominal values are used, uncertain draws`);
    expect(designFromJson(nominal).spreads).toEqual([]);
    expect(designFromJson(nominal).design.notes.some((note) => /spread/.test(note.text))).toBe(false);
    expect(isDrawing()).toBe(false);
  });

  it("gives the band, as the notebook does with the same texts", async () => {
    const name = join(folder, "spread.json");
    writeFileSync(name, JSON.stringify(withSpreads));
    const band = await predictSpreads(readDesign(name), {}, { count: 12, seed: 3 });
    expect(band.varied.map((quantity) => [quantity.field, quantity.kind])).toEqual([["driver.Cms", "normal"], ["closedBox.volume", "uniform"]]);
    const notebook = await uncertain(() => {
      const { design, predict: words } = readDesign(name);
      return predict(design, words);
    }, { count: 12, seed: 3 });
    expect(band.bands.level.runs).toEqual(notebook.bands.level.runs);
    expect(new Set(band.bands.level.runs.map((run) => run[0])).size).toBe(12);
    expect(band.nominal.level).toEqual(predictDesignFile(designFromJson(nominal)).level);
    // each run is the plain file with the drawn values in the place of the texts
    const [Cms, volume] = band.varied.map((quantity) => quantity.draws[5]!);
    const drawn = withValue(withValue(plain, ["enclosure", "volume"], volume!), ["driver", "Cms"], Cms!);
    expect(predictDesignFile(designFromJson(drawn)).level).toEqual(band.bands.level.runs[5]);
  });

  it("may have them in drive, distance and air", async () => {
    const file = designFromJson({ ...nominal, drive: "2.83 V +- 5 %", distance: "1 +- 0.1 m", air: { density: "1.2 kg/m^3 +- 2 %" } });
    expect(file.spreads).toHaveLength(3);
    expect(file.predict).toMatchObject({ drive: "2.83 V", distance: "1 m", air: { density: "1.2 kg/m^3" } });
    const band = await predictSpreads(file, {}, { count: 10 });
    expect(band.varied.map((quantity) => quantity.text).sort()).toEqual(["1 +- 0.1 m", "1.2 kg/m^3 +- 2 %", "2.83 V +- 5 %"]);
    const power = await predictSpreads(designFromJson({ ...nominal, drive: "30 W +- 10 %" }), {}, { count: 10 });
    expect(Math.min(...power.varied[0]!.draws)).toBeGreaterThanOrEqual(27);
    expect(power.nominal.drive.nominal).toEqual({ power: 30, impedance: 4 });
  });

  it("is refused where a spread is none, by the place in the file", () => {
    expect(refusal(withValue(plain, ["enclosure", "volume"], "12 L +- 10 % +- 1 L"))).toMatch(/^design file: enclosure.volume: .*one value with one spread/);
    expect(refusal(withValue(plain, ["enclosure", "volume"], "12 L +- -3 %"))).toMatch(/^design file: enclosure.volume: .*negative spread/);
    expect(refusal(withValue(plain, ["enclosure", "volume"], "12 L +- 3 cm"))).toMatch(/^design file: enclosure.volume: "3 cm" is a length/);
    expect(refusal({ ...plain, drive: "+- 3 %" })).toMatch(/^design file: drive: .*no value/);
  });

  it("is taken by the schema as by the reader", () => {
    const isValid = new Ajv().compile(JSON.parse(readFileSync(new URL("../../kernel-helpers/design.schema.json", import.meta.url), "utf8")) as object);
    const volumes: readonly [text: string, good: boolean][] = [
      ["12 L +- 10 %", true], ["12 L \u00b1 10 %", true], ["12 L +/- 0.5 L", true], ["12 +- 0.5 L", true], ["12 L +- 10 % normal", true], ["12 L +- 10 %, uniform", true], ["12000 cm3 +- 500 cm3", true], ["12000 cm3", true],
      ["12 L +-", false], ["12 L + 3 L", false], ["+- 10 %", false], ["12 +- 10", false], ["12 cm3 3", false],
    ];
    for (const [text, good] of volumes) {
      const value = withValue(plain, ["enclosure", "volume"], text);
      expect(isValid(value), text).toBe(good);
      if (good) expect(designFromJson(value).design.kind).toBe("closed box");
      else expect(refusal(value)).toMatch(/enclosure.volume/);
    }
    expect(isValid(withValue(plain, ["driver"], { Re: "3.5 ohm", fs: "57 Hz", Qms: "4.2 +- 10 %", Qes: 0.41, Vas: "6.6 L", Sd: "88 cm2" }))).toBe(true);
  });
});

describe("the value of a text with a spread", () => {
  it.each([["7.9 L +- 10 %", "7.9 L"], ["7.9 +- 0.5 L", "7.9 L"], ["0.4 +- 10 %", "0.4"], ["7.9 L \u00b1 0.5 L normal", "7.9 L"], ["7.9 L", "7.9 L"], ["1e+3 m", "1e+3 m"]])("%s", (text, value) => {
    expect(valueOf(text)).toBe(value);
  });
});
