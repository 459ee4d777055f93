import { describe, expect, test } from "vitest";
import { compareDesigns } from "../../kernel-helpers/words/compare-designs.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox } from "../../kernel-helpers/words/enclosures.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { terminalDriver } from "../../src/enclosure/terminals.js";
import { nominalLoad } from "../../src/predict/equal.js";

// invented
const sheet = { Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" } as const;
const woofer = driver(sheet), other = driver({ ...sheet, impedance: "8 ohm" });

describe("what a design is at its terminals", () => {
  test("is the same for a drive in watts and for a comparison", () => {
    for (const set of [undefined, { count: 2 }, { count: 3, wiring: "series" }] as const) {
      const box = closedBox({ driver: woofer, volume: "12 L", ...(set === undefined ? {} : { drivers: set }) });
      expect(terminalDriver(box).nominalImpedance).toBe(nominalLoad(box.network).resistance);
    }
  });

  test("is that of the driver in the network, also where the design names another", () => {
    const elements = [{ kind: "volume", node: "box", volume: "12 L" }, { kind: "opening", name: "cone", node: "outside", area: "88 cm^2", cone: true }] as const;
    const box = ownNetwork({ driver: woofer, drivers: [{ name: "one", driver: other, front: "outside", back: "box" }], elements });
    expect(predict(box, { drive: "9 W", frequencies: [50] }).drive.voltage).toBeCloseTo(Math.sqrt(9 * 8), 12);
  });

  test("counts for a comparison at equal drive in watts, too", () => {
    const pair = closedBox({ name: "pair", driver: woofer, volume: "12 L", drivers: { count: 2 } });
    const single = closedBox({ name: "single", driver: woofer, volume: "12 L" });
    const compared = compareDesigns([pair, single], { drive: "9 W", at: "equal drive", frequencies: "20:200:60" });
    expect(compared.predictions[0]!.drive.voltage).toBeCloseTo(Math.sqrt(9 * 2), 12);
  });
});
