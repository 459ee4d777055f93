import { describe, expect, test } from "vitest";
import { predictionCsv } from "../../kernel-helpers/share/prediction-csv.js";
import type { Figure } from "../../kernel-helpers/show/view.js";
import { atVolume, compareDesigns } from "../../kernel-helpers/words/compare-designs.js";
import { compare } from "../../kernel-helpers/words/compare.js";
import { conditions } from "../../kernel-helpers/words/conditions.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { space } from "../../kernel-helpers/words/space.js";
import { makePath } from "../../src/acoustics/path.js";
import { InputError } from "../../src/errors.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { panelPressure } from "../../src/predict/panel-pressure.js";

// invented
const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "133 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m" });
const box = { kind: "volume", node: "box", volume: "12 L" } as const;
const cone = { kind: "opening", name: "cone", node: "outside", area: "133 cm^2", cone: true } as const;
const of = (...elements: readonly unknown[]) => ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [box, cone, ...elements] as never });
const texts = (x: { readonly notes: readonly { readonly text: string }[] }): string => x.notes.map((note) => note.text).join("\n");
const errorOf = (run: () => unknown): InputError => {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
};

describe("ducts beside each other", () => {
  const duct = (to: string, length: number, name?: string) => ({ kind: "duct", from: "box", to, length, areaStart: "20 cm^2", ...(name === undefined ? {} : { name }) });

  test("of one name are refused; without names they get numbers", () => {
    expect(errorOf(() => of(duct("x", 2, "d"), duct("y", 1, "d"))).came).toBe('two ducts are called "d"');
    const { network } = of(duct("x", 2), duct("x", 1), duct("x", 0.5));
    expect(network.elements.flatMap((e) => (e.kind === "duct" ? [e.name] : []))).toEqual(["duct from box to x", "duct from box to x (2)", "duct from box to x (3)"]);
  });

  test("each has its own pressure on the panels", () => {
    // three closed ducts at one node: the first two are one way for the air, the third is one of its own
    const p = predict(of(duct("x", 2), duct("x", 1), duct("x", 0.5)), { frequencies: "20:300:40" });
    const lengths = panelPressure(p).ways.map((way) => way.distance.at(-1)!);
    expect(lengths.reduce((sum, x) => sum + x, 0)).toBeCloseTo(3.5, 9);
    expect(new Set(lengths).size).toBe(lengths.length);
  });
});

describe("where one-dimensional theory ends", () => {
  // 343.2 m/s at 20 degrees Celsius: half a wavelength across 0.4 m at 429 Hz
  test("is told of ducts of one's own network and of slots, too", () => {
    const wide = of({ kind: "duct", name: "hall", from: "box", to: "mouth", length: 0.5, areaStart: 0.16, crossSection: "square" }, { kind: "opening", name: "mouth", node: "mouth", area: 0.16 });
    expect(texts(predict(wide, { frequencies: "20:500:20" }))).toContain('one-dimensional theory ends near 429 Hz, where half a wavelength fits across the widest part of "hall" (400 mm)');
    expect(texts(predict(wide, { frequencies: "20:420:20" }))).not.toContain("one-dimensional");
    const slot = buildVentedBox({ driver: woofer, volume: 0.05, port: { slot: { width: 0.4, height: 0.02 }, length: 0.2 } });
    expect(texts(predict(slot, { frequencies: "20:500:20" }))).toContain('ends near 429 Hz, where half a wavelength fits across the widest part of "port" (400 mm)');
    const leaky = closedBox({ driver: woofer, volume: "12 L", leak: { slot: { width: "400 mm", height: "0.2 mm", depth: "18 mm" } } });
    expect(texts(predict(leaky, { frequencies: "20:500:20" }))).not.toContain("one-dimensional");
  });
});

describe("loops without impedance", () => {
  const step = (from: string, to: string, name: string) => ({ kind: "duct", name, from, to, length: 0, areaStart: "20 cm^2" });
  test("are refused by the names of their elements before anything is solved", () => {
    const error = errorOf(() => of(step("box", "x", "one"), step("x", "y", "two"), step("y", "elsewhere", "aside"), { kind: "volume", node: "elsewhere", volume: "1 L" }, step("y", "box", "three")));
    expect(error.where).toBe("ownNetwork");
    expect(error.came).toBe(`a loop without impedance: ${["two", "one", "three"].map((name) => `the duct "${name}" without length`).join(", ")}`);
    expect(() => of(step("box", "x", "one"), { kind: "volume", node: "x", volume: "1 L" })).not.toThrow();
  });
});

describe("hints lead to what is meant", () => {
  test("a volume in m3, a tuning that is too high, a path of one station", () => {
    expect(closedBox({ driver: woofer, volume: "0.012 m3" }).facts[0]!.value).toBe(0.012);
    const port = (diameter: string) => errorOf(() => ventedBox({ driver: woofer, volume: "17 L", port: { diameter, tuning: "90 Hz" } }));
    expect(port("30 mm").hint).toBe("take a larger port area, more ports or a smaller volume, or a lower tuning");
    // what the hint says is true: with a larger area the same tuning is met
    expect(() => ventedBox({ driver: woofer, volume: "17 L", port: { diameter: "60 mm", tuning: "90 Hz" } })).not.toThrow();
    expect(() => makePath({ crossSection: { kind: "round" }, wallLoss: true, stations: [{ at: 0, area: 1, flare: "conical" }] })).toThrow(/^path\.stations: 1 station;/);
  });

  test("a listener on the box is named", () => {
    const here = space.free("half", { listener: [0, 0, 0] });
    const error = errorOf(() => predict(closedBox({ driver: woofer, volume: "12 L" }), { in: here }));
    expect(`${error.where}: ${error.came}`).toMatch(/^predict\.in: the listener in the .* is where the box is$/);
  });

  test("no article before a vowel", () => {
    expect(errorOf(() => atVolume(of(), "10 L")).came).toBe("an own network, which has no single volume");
  });
});

describe("sizes in the wrong unit", () => {
  test("a port of 60 m, a face of 1 cm^2", () => {
    const error = errorOf(() => ventedBox({ driver: woofer, volume: "17 L", port: { diameter: 60, length: "10 cm" } }));
    expect([error.where, error.came, error.hint]).toEqual(["ventedBox.port.diameter", "60 is more than any port has", 'a plain number is in the SI unit; perhaps "60 mm" was meant']);
    const face = (area: string) => texts(ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [box, { ...cone, area }] }));
    expect(face("1 cm^2")).toContain('the opening "cone" stands for the face of a cone and has 1 cm^2, where the cones at "outside" have 133 cm^2');
    expect(face("133 cm^2")).toBe("");
    // faces of membranes are not those of the driver
    expect(texts(buildPassiveRadiatorBox({ driver: woofer, volume: 0.03, radiator: { Sd: 0.03, Mms: 0.06, Vas: 0.08, Qms: 6 } }))).toBe("");
  });

  test("a slot on its side is the same slot", () => {
    const tuning = (width: number, height: number, onWall: boolean): number => buildVentedBox({ driver: woofer, volume: 0.05, port: { slot: { width, height, onWall }, length: 0.2 } }).facts.find((fact) => fact.name.startsWith("tuning"))!.value;
    for (const onWall of [false, true]) expect(tuning(0.3, 0.03, onWall)).toBe(tuning(0.03, 0.3, onWall));
  });
});

test("openings that cancel altogether give silence, and neither phase nor group delay", () => {
  const elements = [box, { ...box, node: "second" }, cone, { ...cone, name: "back cone", node: "behind" }];
  const drivers = [{ name: "a", front: "outside", back: "box" }, { name: "b", front: "behind", back: "second" }];
  const p = predict(ownNetwork({ driver: woofer, drivers, wiring: { parallel: ["a", { reversed: "b" }] }, elements } as never), { frequencies: "20:200:30" });
  expect(texts(p)).toContain("no sound at all reaches the listener at 20 Hz and elsewhere: the openings cancel to rounding");
  expect(texts(p)).not.toContain("turns faster");
  for (const level of p.level) expect(level).toBe(-Infinity);
  for (const plot of [p.plots.phase, p.plots.groupDelay]) for (const y of (plot.views()[0] as Figure).panels[0]!.traces[0]!.y) expect(y).toBeNaN();
  expect(predictionCsv(p, { version: "0" }).split("\n").find((line) => line.startsWith("20,"))).toMatch(/^20,,,,/);
  // in step they play
  expect(predict(ownNetwork({ driver: woofer, drivers, elements } as never), { frequencies: [20] }).level[0]).toBeGreaterThan(50);
});

describe("lines are told apart", () => {
  const plain = closedBox({ driver: woofer, volume: "12 L" });
  test("equal designs in a comparison get numbers, one design in several spaces the space", () => {
    const twice = compareDesigns([plain, closedBox({ driver: woofer, volume: "24 L" })]);
    expect(new Set((twice.views()[0] as { columns: string[] }).columns).size).toBe(3);
    const places = ["half", "full", "quarter"].map((name) => predict(plain, { space: name }));
    expect((compare(...places).plots.level.views()[0] as Figure).panels[0]!.traces.map((trace) => trace.name)).toEqual(["half", "full", "quarter"].map((name) => `closed box, ${name} space`));
    expect(conditions(places)).toBe("2.83 V, half space, full space and quarter space, 1 m");
  });
});
