import { describe, expect, it } from "vitest";
import { fourthOrderBandPass, sixthOrderBandPass } from "../../kernel-helpers/words/band-pass.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, passiveRadiatorBox, tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { backHorn, frontHorn, tappedPipe } from "../../kernel-helpers/words/horns.js";
import { transmissionLine } from "../../kernel-helpers/words/lines.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import type { NotebookDesign } from "../../kernel-helpers/words/notebook-design.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { standardAir as air } from "../../src/air/air.js";
import type { DuctElement } from "../../src/acoustics/network.js";
import { slotResistance } from "../../src/acoustics/leak.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { InputError } from "../../src/errors.js";
import { ductRuns } from "../../src/predict/duct-runs.js";
import { expectClose } from "../support/close.js";
import { chainOf } from "../support/ducts.js";

const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" });
const way = { stations: [{ at: 0, area: "70 cm^2" }, { at: "2 m", area: "300 cm^2" }] };
const port = { diameter: "60 mm", length: "120 mm" };
const gap = { width: "30 cm", height: "0.2 mm", depth: "18 mm" };

/** Every word with a leak, made with it; the name of the leak and of its field. */
const words: readonly [name: string, make: (leak: never) => NotebookDesign, leak: string, field: string][] = [
  ["closedBox", (leak) => closedBox({ driver: woofer, volume: "9 L", leak }), "leak", "closedBox.leak"],
  ["ventedBox", (leak) => ventedBox({ driver: woofer, volume: "9 L", port, leak }), "leak", "ventedBox.leak"],
  ["passiveRadiatorBox", (leak) => passiveRadiatorBox({ driver: woofer, volume: "9 L", leak, radiator: { Sd: "133 cm^2", fs: "25 Hz", Vas: "20 L", Qms: 8 } }), "leak", "passiveRadiatorBox.leak"],
  ["fourthOrderBandPass", (leak) => fourthOrderBandPass({ driver: woofer, rear: { volume: "9 L", leak }, front: { volume: "9 L" }, port }), "rear leak", "fourthOrderBandPass.rear.leak"],
  ["sixthOrderBandPass", (leak) => sixthOrderBandPass({ driver: woofer, rear: { volume: "9 L" }, front: { volume: "9 L", leak }, rearPort: port, frontPort: port }), "front leak", "sixthOrderBandPass.front.leak"],
  ["frontHorn", (leak) => frontHorn({ driver: woofer, path: way, rearChamber: { volume: "6 L", leak } }), "rear leak", "frontHorn.rearChamber.leak"],
  ["backHorn", (leak) => backHorn({ driver: woofer, path: way, chamber: { volume: "2 L", leak } }), "leak", "backHorn.chamber.leak"],
  ["tappedHorn", (leak) => tappedHorn({ driver: woofer, path: way, frontTap: "9 cm", backTap: "1.8 m", leak }), "leak", "tappedHorn.leak"],
  ["tappedPipe", (leak) => tappedPipe({ driver: woofer, area: "110 cm^2", length: "1.9 m", frontTap: "9 cm", backTap: "1.8 m", leak }), "leak", "tappedPipe.leak"],
  ["transmissionLine", (leak) => transmissionLine({ driver: woofer, path: way, driverAt: "30 cm", leak }), "leak", "transmissionLine.leak"],
];

const slotOf = (design: NotebookDesign, name: string): DuctElement => design.network.elements.find((e): e is DuctElement => e.kind === "duct" && e.name === `slot of ${name}`)!;

describe.each(words)("a leak of %s", (_, make, name, field) => {
  it("as a slot is a slit and an opening of its size, and stands so in a design file", () => {
    const design = make({ slot: gap } as never);
    const opening = design.network.elements.find((e) => e.kind === "opening" && e.name === name);
    expect(opening).toMatchObject({ area: 0.3 * 0.0002, shape: { kind: "rectangle", width: 0.3, height: 0.0002 }, load: { kind: "space" } });
    const b = chainOf(slotOf(design, name).sections, 0.1)[1];
    expectClose(b[0], (12 * air.viscosity * 0.018) / (0.3 * 0.0002 ** 3), 1e-4, "Poiseuille flow between plates: 12 mu L / (w h^3)");
    expect(JSON.stringify(design.recipe)).toContain('"leak":{"slot":{"width":0.3,"height":0.0002,"depth":0.018}}');
    // it is no part of the way of the sound
    expect(ductRuns(design.network).filter((run) => run.name.includes("slot of")).map((run) => run.name)).toEqual([`slot of ${name}`]);
    const level = predict(design, { frequencies: "20:200:5" }).level;
    for (const value of level) expect(Number.isFinite(value)).toBe(true);
  });

  it("still takes a resistance, and refuses what is neither by its field", () => {
    const opening = make("2e5 Pa s/m^3" as never).network.elements.find((e) => e.kind === "opening" && e.name === name);
    expect(opening).toMatchObject({ area: undefined, load: { kind: "series", mass: 0, resistance: 2e5 } });
    const wrong: readonly [unknown, string][] = [
      [{}, ".slot"], [{ slot: {} }, ".slot.width"], [{ slot: { ...gap, height: undefined } }, ".slot.height"], [{ slot: { ...gap, depth: "-1 mm" } }, ".slot.depth"], [{ slot: { ...gap, width: "1 L" } }, ".slot.width"],
      [{ slot: { ...gap, width: "0.1 mm" } }, ".slot.height"], [{ slot: { ...gap, length: 1 } }, ".slot"], [{ hole: gap }, ""], [[gap], ""], ["3 m", ""], [null, ""],
    ];
    for (const [leak, at] of wrong) {
      const error = (() => {
        try {
          make(leak as never);
        } catch (e) {
          return e;
        }
        return undefined;
      })();
      expect(error, JSON.stringify(leak)).toBeInstanceOf(InputError);
      expect((error as InputError).where).toBe(`${field}${at}`);
    }
  });
});

describe("what a slot does", () => {
  it("a thin one damps as its resistance does, in a box and in a network of one's own", () => {
    const resistance = slotResistance({ width: 0.3, height: 0.0002, depth: 0.018 }, air), frequencies = "10:40:4";
    const tight = predict(closedBox({ driver: woofer, volume: "9 L" }), { frequencies }).level;
    const slot = predict(closedBox({ driver: woofer, volume: "9 L", leak: { slot: gap } }), { frequencies }).level, lumped = predict(closedBox({ driver: woofer, volume: "9 L", leak: resistance }), { frequencies }).level;
    const own = (leak: object): Float64Array => predict(ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [{ kind: "volume", node: "box", volume: "9 L" }, { kind: "opening", name: "cone", node: "outside", area: "88 cm^2", cone: true }, { kind: "leak", node: "box", ...leak }] }), { frequencies }).level;
    const ownSlot = own({ slot: gap });
    slot.forEach((level, i) => {
      // the mass of the air in the gap is a few per cent of its resistance, in quadrature
      expect(Math.abs(level - lumped[i]!)).toBeLessThan(0.03);
      expect(Math.abs(ownSlot[i]! - level)).toBeLessThan(1e-9);
    });
    expect(Math.abs(slot[0]! - tight[0]!)).toBeGreaterThan(0.1);
    expect(() => own({ slot: gap, resistance: 1e5 })).toThrow(/^ownNetwork\.elements\[2\]\.resistance: 100000 beside a slot/);
    expect(() => own({ slot: { ...gap, depth: 0 } })).toThrow(/^ownNetwork\.elements\[2\]\.slot\.depth/);
    expect(() => own({})).toThrow(/^ownNetwork\.elements\[2\]\.resistance/);
  });

  it("a wide one is the mass rho L / (w h) of the air in it", () => {
    const wide = slotOf(closedBox({ driver: woofer, volume: "9 L", leak: { slot: { width: "1 m", height: "60 mm", depth: "20 mm" } } }), "leak");
    const b = chainOf(wide.sections, 300)[1];
    expectClose(b[1] / (2 * Math.PI * 300), (air.density * 0.02) / (1 * 0.06), 5e-3, "inertance rho L / (w h), elementary; the layer at the walls adds 0.2 %");
    expect(b[0]).toBeLessThan(0.01 * b[1]);
  });

  it("is refused beside a resistance, and with a size that is none, by the builders too", () => {
    const slot = { width: 0.3, height: 0.0002, depth: 0.018 };
    expect(() => buildClosedBox({ driver: woofer, volume: 0.01, leakResistance: 1e5, leakSlot: slot })).toThrow(/^closedBox\.leak: both a resistance and a slot/);
    expect(() => buildClosedBox({ driver: woofer, volume: 0.01, leakSlot: { ...slot, depth: NaN } })).toThrow(/^closedBox\.leak\.slot\.depth: NaN m/);
    expect(() => buildClosedBox({ driver: woofer, volume: 0.01, leakSlot: { ...slot, height: 1 } })).toThrow(/^closedBox\.leak\.slot\.height/);
  });
});
