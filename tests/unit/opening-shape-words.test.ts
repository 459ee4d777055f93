import { describe, expect, it } from "vitest";
import { fourthOrderBandPass, sixthOrderBandPass } from "../../kernel-helpers/words/band-pass.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { backHorn, frontHorn, tappedPipe } from "../../kernel-helpers/words/horns.js";
import { openBaffle, transmissionLine } from "../../kernel-helpers/words/lines.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import type { NotebookDesign } from "../../kernel-helpers/words/notebook-design.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { openingShapeOf } from "../../src/acoustics/opening-shape.js";
import { InputError } from "../../src/errors.js";

const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" });
const path = { stations: [{ at: 0, area: "70 cm^2" }, { at: "2 m", area: "300 cm^2" }] };
const mass = { mass: "60 kg/m^4", area: "300 cm^2" };
const cone = { kind: "opening", name: "cone", node: "outside", area: "88 cm^2", cone: true } as const;

/** Every word with an opening that may have a form, of 300 cm^2; the opening and the field. */
const words: readonly [name: string, make: (shape: never) => NotebookDesign, opening: string, field: string][] = [
  ["frontHorn", (mouthShape) => frontHorn({ driver: woofer, path, mouthShape }), "mouth", "frontHorn.mouthShape"],
  ["backHorn", (mouthShape) => backHorn({ driver: woofer, path, mouthShape }), "mouth", "backHorn.mouthShape"],
  ["tappedHorn", (mouthShape) => tappedHorn({ driver: woofer, path, frontTap: "9 cm", backTap: "1.8 m", mouthShape }), "mouth", "tappedHorn.mouthShape"],
  ["tappedPipe", (mouthShape) => tappedPipe({ driver: woofer, area: "300 cm^2", length: "2 m", frontTap: "9 cm", backTap: "1.8 m", mouthShape }), "mouth", "tappedPipe.mouthShape"],
  ["transmissionLine", (mouthShape) => transmissionLine({ driver: woofer, path, mouthShape }), "mouth", "transmissionLine.mouthShape"],
  ["ventedBox", (openingShape) => ventedBox({ driver: woofer, volume: "9 L", port: { ...mass, openingShape } }), "port", "ventedBox.port.openingShape"],
  ["fourthOrderBandPass", (openingShape) => fourthOrderBandPass({ driver: woofer, rear: { volume: "9 L" }, front: { volume: "9 L" }, port: { ...mass, openingShape } }), "port", "fourthOrderBandPass.port.openingShape"],
  ["sixthOrderBandPass", (openingShape) => sixthOrderBandPass({ driver: woofer, rear: { volume: "20 L" }, front: { volume: "9 L" }, rearPort: { ...mass, openingShape }, frontPort: mass }), "rear port", "sixthOrderBandPass.rearPort.openingShape"],
  ["openBaffle", (openingShape) => openBaffle({ driver: woofer, baffle: { diameter: "50 cm" }, frame: { depth: "20 cm", area: "300 cm^2", openingShape } }), "open back", "openBaffle.frame.openingShape"],
  ["ownNetwork opening", (openingShape) => ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [cone, { kind: "opening", name: "back", node: "box", area: "300 cm^2", openingShape }, { kind: "volume", node: "box", volume: "9 L" }] }), "back", "ownNetwork.elements[1].openingShape"],
  ["ownNetwork port", (openingShape) => ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [cone, { kind: "volume", node: "box", volume: "9 L" }, { kind: "port", name: "port", from: "box", ...mass, openingShape }] }), "port", "ownNetwork.elements[2].openingShape"],
];

const shapeOf = (design: NotebookDesign, name: string): unknown => design.network.elements.find((e): e is OpeningElement => e.kind === "opening" && e.name === name)!.shape;

describe.each(words)("the form of an opening of %s", (_, make, name, field) => {
  it("is round, square, unflanged or a rectangle by its sides, and stands so in a design file", () => {
    const side = Math.sqrt(0.03);
    expect(shapeOf(make(undefined as never), name)).toBeUndefined();
    expect(shapeOf(make("round" as never), name)).toEqual({ kind: "round" });
    expect(shapeOf(make("unflanged" as never), name)).toEqual({ kind: "unflanged" });
    expect(shapeOf(make("square" as never), name)).toEqual({ kind: "rectangle", width: side, height: side });
    for (const sides of [{ width: "30 cm", height: "10 cm" }, { width: "30 cm" }, { height: 0.1 }]) {
      const design = make(sides as never), recipe = JSON.stringify(design.recipe);
      expect(shapeOf(design, name)).toEqual({ kind: "rectangle", width: expect.closeTo(0.3, 12), height: expect.closeTo(0.1, 12) });
      for (const [key, value] of [["width", 0.3], ["height", 0.1]] as const) expect(recipe.includes(`"${key}":${value}`)).toBe(key in sides);
    }
    expect(JSON.stringify(make("square" as never).recipe)).toMatch(/Shape":"square"/);
  });

  it("loads it otherwise: a long slit has less air in front of it than a square", () => {
    const level = (shape: unknown): Float64Array => predict(make(shape as never), { frequencies: "40:300:8" }).level;
    const round = level(undefined), square = level("square"), slit = level({ height: "5 mm" });
    expect([...level("round")]).toEqual([...round]);
    const off = (a: Float64Array): number => Math.max(...a.map((v, i) => Math.abs(v - round[i]!)));
    expect(off(slit)).toBeGreaterThan(5 * off(square));
    expect(off(square)).toBeGreaterThan(0);
  });

  it("is refused by its field", () => {
    const wrong: readonly [unknown, string][] = [["oval", ""], [{}, ""], [[], ""], [1, ""], [{ width: "30 cm", heigth: 1 }, ""], [{ width: "1 L" }, ".width"], [{ height: 0 }, ".height"], [{ width: "30 cm", height: "11 cm" }, ""]];
    for (const [shape, at] of wrong) {
      let error: unknown;
      try {
        make(shape as never);
      } catch (e) {
        error = e;
      }
      expect(error, JSON.stringify(shape)).toBeInstanceOf(InputError);
      expect((error as InputError).where).toBe(`${field}${at}`);
    }
  });
});

describe("the sides of a rectangle", () => {
  it("make up the area to 1 % and keep their ratio", () => {
    const shape = openingShapeOf({ kind: "rectangle", width: 0.3, height: 0.1009 }, 0.03, "mouth");
    if (shape.kind !== "rectangle") throw new Error("no rectangle");
    expect(shape.width * shape.height).toBeCloseTo(0.03, 14);
    expect(shape.width / shape.height).toBeCloseTo(0.3 / 0.1009, 12);
    expect(() => openingShapeOf({ kind: "rectangle", width: 0.3, height: 0.1011 }, 0.03, "mouth")).toThrow(/^mouth: 0\.3 m by 0\.1011 m, which is 303\.3 cm\^2; sides of 300 cm\^2 are expected\. leave one side out/);
    expect(() => openingShapeOf({ kind: "rectangle" }, 0.03, "mouth")).toThrow(/^mouth: no side/);
    expect(() => openingShapeOf({ kind: "rectangle", width: NaN }, 0.03, "mouth")).toThrow(/^mouth\.width: NaN m/);
  });
});

describe("ports", () => {
  const box = (port: object): NotebookDesign => ventedBox({ driver: woofer, volume: "9 L", port: port as never });
  it("of a round tube are round or unflanged, and a tuning counts the mass of the open end", () => {
    const tube = { diameter: "60 mm", tuning: "50 Hz" };
    const length = (port: object): number => box(port).facts.find((f) => f.name === "port length")!.value;
    expect(length({ ...tube, openingShape: "round" })).toBe(length(tube));
    // the end correction in a wall is 0.85 radii as a piston, of a thin pipe 0.61 radii in the open, counted by images in a half space
    expect(length({ ...tube, openingShape: "unflanged" })).not.toBeCloseTo(length(tube), 3);
    expect(() => box({ ...tube, openingShape: "square" })).toThrow(/^ventedBox\.port\.openingShape: "square" with a round tube/);
    expect(() => box({ slot: { width: "100 mm", height: "30 mm" }, length: "0.1 m", openingShape: "round" })).toThrow(/^ventedBox\.port\.openingShape: a form of the opening of a slot/);
    expect(() => box({ mass: "60 kg/m^4", openingShape: "round" })).toThrow(/^ventedBox\.port\.openingShape: a form of an opening without area/);
  });

  it("into another chamber have none, nor has a closed line, nor an opening without area", () => {
    expect(() => sixthOrderBandPass({ driver: woofer, rear: { volume: "9 L" }, front: { volume: "9 L" }, tuned: "series", rearPort: { ...mass, openingShape: "square" }, frontPort: mass })).toThrow(/^sixthOrderBandPass\.rearPort\.openingShape/);
    expect(() => transmissionLine({ driver: woofer, path, end: "closed", mouthShape: "square" })).toThrow(/^transmissionLine\.mouthShape: a form of the mouth of a closed line/);
    expect(() => ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [cone, { kind: "opening", name: "back", node: "box", load: "release", openingShape: "square" }] })).toThrow(/^ownNetwork\.elements\[1\]\.openingShape: a form of an opening without area/);
  });
});
