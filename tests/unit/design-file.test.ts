import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { predictDesignFile, readDesign, saveDesign } from "../../kernel-helpers/words/design-file.js";
import { designFromJson } from "../../kernel-helpers/words/design-json.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox } from "../../kernel-helpers/words/enclosures.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { AirpathError, FileError, InputError } from "../../src/errors.js";
import { completeDesigns, demoDesigns, withValue } from "../support/sample-designs.js";

const folder = mkdtempSync(join(tmpdir(), "airpath-designs-"));
afterAll(() => rmSync(folder, { recursive: true }));
let count = 0;
const freshName = (): string => join(folder, `design-${++count}.json`);

function thrownBy(run: () => unknown): AirpathError {
  try {
    run();
  } catch (error) {
    if (error instanceof AirpathError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
}

const samples = { ...demoDesigns(), ...completeDesigns() };
const woofer = driver({ Re: 3.5, Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: 1.1, Bl: 6.3, impedance: 4 });
const box = closedBox({ name: "small", driver: woofer, volume: "9 L" });

describe("saving and reading a design", () => {
  it.each(Object.keys(samples))("gives %s back: same recipe, same driver, same prediction to the last bit", (name) => {
    const first = designFromJson(samples[name]);
    const file = freshName();
    saveDesign(file, first.design, first.predict);
    const second = readDesign(file);
    expect(second.design.recipe).toEqual(first.design.recipe);
    expect({ ...second.design.driver }).toEqual({ ...first.design.driver });
    expect(second.design.name).toBe(first.design.name);
    const a = predictDesignFile(first), b = predictDesignFile(second);
    expect(b.drive).toEqual(a.drive);
    expect(b.air).toEqual(a.air);
    expect(b.distance).toBe(a.distance);
    expect(b.space).toEqual(a.space);
    for (const key of ["frequencies", "level", "phase", "groupDelay", "excursionPeak"] as const) expect(b[key], key).toEqual(a[key]);
    for (const key of ["pressure", "impedance", "coneDisplacement", "pressureAcrossCone"] as const) expect([b[key].re, b[key].im], key).toEqual([a[key].re, a[key].im]);
    expect(b.openings.map((o) => [o.name, o.airSpeedPeak, o.volumeVelocity.re])).toEqual(a.openings.map((o) => [o.name, o.airSpeedPeak, o.volumeVelocity.re]));
  });

  it("writes the same bytes again after reading, and plain SI numbers only", () => {
    for (const name of Object.keys(samples)) {
      const one = freshName(), two = freshName();
      const { design, predict: words } = designFromJson(samples[name]);
      saveDesign(one, design, words);
      const read = readDesign(one);
      saveDesign(two, read.design, read.predict);
      expect(readFileSync(two, "utf8")).toBe(readFileSync(one, "utf8"));
      expect(readFileSync(one, "utf8")).not.toMatch(/"[\d.]+ (L|mm|cm\^2|V|m)"/);
      expect(readFileSync(one, "utf8").endsWith("}\n")).toBe(true);
    }
  });

  it("keeps a list of frequencies, a power and the air", () => {
    const file = freshName();
    saveDesign(file, box, { drive: "30 W", frequencies: Float64Array.of(20, 31.5, 50), air: { soundSpeed: "340 m/s" }, sourceResistance: "100 mohm", space: "eighth", distance: "200 cm" });
    const read = readDesign(file);
    expect(read.predict).toEqual({ drive: "30 W", sourceResistance: 0.1, space: "eighth", distance: 2, frequencies: [20, 31.5, 50], air: { soundSpeed: 340 } });
    expect(predictDesignFile(read).level).toEqual(predict(box, { drive: "30 W", frequencies: [20, 31.5, 50], air: { soundSpeed: 340 }, sourceResistance: 0.1, space: "eighth", distance: 2 }).level);
  });

  it("lets the caller change what the file says", () => {
    const file = designFromJson(samples["closed-box.json"]);
    const near = predictDesignFile(file, { frequencies: [50] }), far = predictDesignFile(file, { frequencies: [50], distance: "2 m" });
    expect(near.level[0]! - far.level[0]!).toBeCloseTo(20 * Math.log10(2), 9);
  });
});

describe("a file that exists", () => {
  it("is not written over silently", () => {
    const file = freshName();
    writeFileSync(file, "mine\n");
    const error = thrownBy(() => saveDesign(file, box));
    expect(error).toBeInstanceOf(InputError);
    expect(error.hint).toContain("replace: true");
    expect(readFileSync(file, "utf8")).toBe("mine\n");
    saveDesign(file, box, { replace: true });
    expect(readDesign(file).design.name).toBe("small");
  });

  it("may be saved again when nothing changed", () => {
    const file = freshName();
    saveDesign(file, box, { drive: 2 });
    saveDesign(file, box, { drive: "2 V" });
    expect(thrownBy(() => saveDesign(file, box, { drive: 3 }))).toBeInstanceOf(InputError);
  });

  it("is left alone when the options are wrong", () => {
    const file = freshName();
    writeFileSync(file, "mine\n");
    for (const [options, where] of [[{ replace: true, drive: "-1 V" }, "saveDesign.drive"], [{ replace: true, space: "tenth" }, "saveDesign.space"], [{ replace: true, sourceResistance: null }, "saveDesign.sourceResistance"], [{ replace: true, air: { density: "1 L" } }, "saveDesign.air.density"], [{ replace: "yes" }, "saveDesign.replace"], [{ replac: true }, "saveDesign"]] as const) {
      expect(thrownBy(() => saveDesign(file, box, options as never)).where).toBe(where);
      expect(readFileSync(file, "utf8")).toBe("mine\n");
    }
  });

  it("is told apart from a folder, and from a file in place of the folder; a folder that is missing is made", () => {
    const inside = join(folder, "inside");
    mkdirSync(inside, { recursive: true });
    expect(thrownBy(() => saveDesign(inside, box)).message).toContain("inside");
    expect(thrownBy(() => saveDesign(inside, box, { replace: true })).message).toContain("EISDIR");
    saveDesign(join(folder, "new", "deep", "x.json"), box);
    expect(readDesign(join(folder, "new", "deep", "x.json")).design.name).toBe("small");
    expect(thrownBy(() => saveDesign(join(folder, "new", "deep", "x.json", "y.json"), box)).message).toBe("saveDesign: y.json: a file where its folder should be; a writable place is expected.");
    expect(thrownBy(() => saveDesign(1 as never, box)).where).toBe("saveDesign");
    expect(thrownBy(() => saveDesign(freshName(), { ...box, recipe: undefined } as never)).where).toBe("saveDesign");
  });
});

describe("a file that cannot be read", () => {
  const written = (content: string | Uint8Array): string => {
    const file = freshName();
    writeFileSync(file, content);
    return file;
  };

  it("says what is wrong with it as a file", () => {
    expect(thrownBy(() => readDesign(join(folder, "no.json"))).message).toBe("no.json: no such file; a design file is expected.");
    expect(thrownBy(() => readDesign(folder)).came).toBe("a folder");
    expect(thrownBy(() => readDesign(0 as never)).where).toBe("readDesign");
    const notJson = thrownBy(() => readDesign(written('{"a":\n 1,}')));
    expect(notJson).toBeInstanceOf(FileError);
    expect(notJson.message).not.toContain("\n");
    expect(thrownBy(() => readDesign(written(Uint8Array.of(0xff, 0xfe, 0x7b))))).toBeInstanceOf(FileError);
    expect(thrownBy(() => readDesign(written(" ".repeat(9_000_000)))).came).toBe("9 MB");
    expect(thrownBy(() => readDesign(written("")))).toBeInstanceOf(FileError);
  });

  it("names itself and the field", () => {
    const sample = samples["tapped-horn.json"]!;
    const file = written(JSON.stringify(withValue(sample, ["enclosure", "path", "stations", 1, "aera"], 1)));
    const name = file.slice(folder.length + 1);
    expect(thrownBy(() => readDesign(file)).message).toBe(`${name}: enclosure.path.stations[1]: no option "aera"; did you mean "area"?`);
    expect(thrownBy(() => readDesign(written(JSON.stringify({ ...sample, version: 2 })))).message).toMatch(/format "airpath design", version 2; format "airpath design", version 1 is expected\. a newer airpath may have written it\.$/);
  });

  it("may begin with the mark of its byte order", () => {
    expect(readDesign(written(`\ufeff${JSON.stringify(samples["closed-box.json"])}`)).design.kind).toBe("closed box");
  });
});
