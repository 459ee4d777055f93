import { describe, expect, test } from "vitest";
import { closedBox, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { openBaffle } from "../../kernel-helpers/words/lines.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { makeAir } from "../../src/air/air.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildFrontHorn } from "../../src/enclosure/front-horn.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { makePath } from "../../src/acoustics/path.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictionNotes } from "../../src/predict/prediction-notes.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";

// invented
const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", Xmax: "6 mm" });
const options = { space: freeSpace("half"), distance: 1, frequencies: logGrid(10, 500, 60) };
const at = (voltage: number) => ({ ...options, drive: { voltage, sourceResistance: 0 } });
const texts = (p: { readonly notes: readonly { readonly text: string }[] }): string => p.notes.map((n) => n.text).join("\n");

describe("excursion against Xmax", () => {
  test("is warned about from Xmax on, neither at half nor at twice of it", () => {
    const box = buildClosedBox({ driver: woofer, volume: 0.012 });
    const largest = Math.max(...predictDesign(box, at(1)).excursionPeak);
    const warned = (share: number): boolean => texts(predictDesign(box, at((share * woofer.Xmax!) / largest))).includes("Xmax");
    expect([0.5, 0.99, 1.01, 1.5, 2.5].map(warned)).toEqual([false, false, true, true, true]);
  });
});

describe("fast air", () => {
  test("is looked for where air passes, whatever the faces of cones are called", () => {
    const loud = { drive: "900 V", frequencies: "20:200:20" } as const;
    const opposed = closedBox({ driver: woofer, volume: "12 L", drivers: { count: 2, mounting: "opposed" } });
    const baffle = openBaffle({ driver: woofer, baffle: { width: "50 cm", height: "50 cm" } });
    for (const box of [opposed, baffle]) {
      const p = predict(box, loud);
      expect(Math.max(...p.openings.flatMap((o) => [...o.airSpeedPeak!]))).toBeGreaterThan(17);
      expect(texts(p)).not.toContain("17 m/s");
      expect(p.plots.airSpeed.views()).toEqual([]);
      expect((p.views().at(-1) as Table).rows.some(([what]) => what!.startsWith("fastest air"))).toBe(false);
    }
    const vented = predict(ventedBox({ driver: woofer, volume: "17 L", port: { diameter: "60 mm", tuning: "45 Hz" } }), loud);
    expect(texts(vented)).toContain("air at the port is faster than 17 m/s");
    expect((vented.plots.airSpeed.views()[0] as Figure).panels[0]!.traces.map((t) => t.name)).toEqual(["port"]);
  });

  test("is told above 17 m/s, not below", () => {
    const box = buildVentedBox({ driver: woofer, volume: 0.017, port: { area: 0.002, length: 0.12 } });
    const fastest = Math.max(...predictDesign(box, at(1)).openings.find((o) => o.name === "port")!.airSpeedPeak!);
    // 17 m/s: common practice, no source
    expect([16.9, 17.1].map((speed) => texts(predictDesign(box, at(speed / fastest))).includes("air at the port is faster than 17 m/s"))).toEqual([false, true]);
  });

  test("of a port with rounded ends is that of its straight part", () => {
    const area = Math.PI * 0.03 ** 2;
    const p = predictDesign(buildVentedBox({ driver: woofer, volume: 0.017, port: { area, length: 0.2, rounding: 0.02 } }), at(2.83));
    const port = p.openings.find((o) => o.name === "port")!;
    expect(port.area).toBeCloseTo(Math.PI * 0.05 ** 2, 12);
    port.airSpeedPeak!.forEach((speed, i) => expect(speed).toBeCloseTo((Math.SQRT2 * Math.hypot(port.volumeVelocity.re[i]!, port.volumeVelocity.im[i]!)) / area, 10));
  });
});

describe("a listener that is near", () => {
  const path = makePath({ crossSection: { kind: "round" }, wallLoss: true, stations: [{ at: 0, area: 0.01, flare: "conical" }, { at: 1, area: 0.2, flare: "conical" }] });
  const horn = buildFrontHorn({ driver: woofer, path, rearChamber: { volume: 0.01 } });
  const near = (distance: number) => predictDesign(horn, { ...at(2.83), distance }).notes.filter((n) => n.text.includes("not far against"));
  test("is told below three times the mouth (0.505 m across), and warned of within it", () => {
    expect(near(1.52)).toEqual([]);
    expect(near(1.51).map((n) => n.severity)).toEqual(["remark"]);
    const [close] = near(0.1);
    expect(close!.severity).toBe("warning");
    // on the axis of a piston of radius a at r: 2 (sqrt(1 + (a/r)^2) - 1) (r/a)^2 at low frequency (Kinsler et al., Fundamentals of Acoustics); a^2 = 0.2 / pi
    const x = 0.2 / Math.PI / 0.01;
    expect(close!.text).toContain(`${(-20 * Math.log10((2 * (Math.sqrt(1 + x) - 1)) / x)).toFixed(1)} dB too high`);
  });

  test("is not told in a space that knows the places", () => {
    const space = freeSpace("half", { box: [0, 0, 0], listener: [0.5, 0, 0] });
    expect(texts(predictDesign(horn, { ...at(2.83), space, distance: 0.5 }))).not.toContain("not far against");
  });
});

describe("what is not plausible", () => {
  test("is refused where nothing has it", () => {
    for (const [key, value] of [["heatRatio", 0.5], ["heatRatio", 2], ["density", 1204], ["soundSpeed", 1e5], ["viscosity", 1]] as const) expect(() => makeAir({ [key]: value })).toThrow(new RegExp(`^air\\.${key}: .*than any gas has`));
    expect(() => makeAir({ density: 1204 })).toThrow(/g\/m\^3/);
    expect(makeAir({ heatRatio: 5 / 3, density: 0.17 }).density).toBe(0.17);
    expect(() => closedBox({ driver: woofer, volume: "12 L", leak: 1e-30 })).toThrow(/^closedBox\.leak: 1e-30 Pa s\/m\^3 is less than/);
    expect(() => closedBox({ driver: woofer, volume: 1e6 })).toThrow(/perhaps "1000000 L" was meant/);
  });

  test("is warned of where it could be", () => {
    expect(texts(predictDesign(buildClosedBox({ driver: woofer, volume: 12 }), at(1)))).toContain('the volume at "box" is 12 m^3, more than boxes have (2 m^3); did you mean "12 L"?');
    const path = makePath({ crossSection: { kind: "round" }, wallLoss: true, stations: [{ at: 0, area: 85, flare: "conical" }, { at: 460, area: 90, flare: "conical" }] });
    const notes = texts(buildFrontHorn({ driver: woofer, path, rearChamber: { volume: 0.01 } }));
    expect(notes).toContain('did you mean "90 cm^2"?');
    expect(notes).toContain('did you mean "460 mm"?');
    expect(texts(closedBox({ driver: woofer, volume: "12 L", leak: 50 }))).toContain("an open hole rather than a leak");
    expect(texts(predictDesign(buildClosedBox({ driver: woofer, volume: 0.012 }), { ...at(1), air: makeAir({ density: 0.17 }) }))).toContain("the density of the air is 0.17 kg/m^3; air has 0.6 to 1.6 kg/m^3");
    const large = driver({ Re: 3.5, fs: 58, Qms: 4.1, Qes: 0.42, Vas: 7.9, Sd: "88 cm^2" });
    expect((large.views()[0] as Table).notes!.map((n) => n.text)).toContain('Vas 7.9 m^3 is more than drivers have; did you mean "7.9 L"?'.replace("Vas 7.9 m^3", (large.views()[0] as Table).notes![0]!.text.split(" is more")[0]!));
    expect(texts(closedBox({ driver: large, volume: "12 L" }))).toContain('did you mean "7.9 L"?');
  });

  test("leaves what demos and extremes have without a note", () => {
    for (const area of [1.0001e-6, 1.99]) expect(texts(buildVentedBox({ driver: woofer, volume: 0.05, port: { area, length: 0.001 } }))).toBe("");
    expect(texts(closedBox({ driver: woofer, volume: "12 L", leak: "2e5 Pa s/m^3" }))).toBe("");
  });

  test("one-dimensional theory ends where half a wavelength fits across", () => {
    const path = makePath({ crossSection: { kind: "square" }, wallLoss: true, stations: [{ at: 0, area: 0.01, flare: "conical" }, { at: 1, area: 0.25, flare: "conical" }] });
    const horn = buildFrontHorn({ driver: woofer, path, rearChamber: { volume: 0.01 } });
    const p = predictDesign(horn, at(1));
    const end = p.air.soundSpeed / (2 * 0.5);
    expect(texts(p)).toContain(`one-dimensional theory ends near ${Number(end.toPrecision(3))} Hz, where half a wavelength fits across the widest part of the path (500 mm)`);
    const up = (highest: number) => texts(predictDesign(horn, { ...at(1), frequencies: logGrid(20, highest, 10) }));
    expect([0.99, 1.01].map((share) => up(share * end).includes("one-dimensional"))).toEqual([false, true]);
  });

  test("no sound at all is said", () => {
    const p = predictDesign(buildClosedBox({ driver: woofer, volume: 0.012 }), at(1)), phase = { inverted: false, followed: true };
    const level = p.level.map((x, i) => (i === 3 ? -Infinity : x));
    expect(texts({ notes: predictionNotes({ ...p, level }, phase) })).toContain(`no sound at all reaches the listener at ${Number(p.frequencies[3]!.toPrecision(3))} Hz: the level is minus infinity there`);
    expect(texts({ notes: predictionNotes(p, phase) })).not.toContain("no sound");
  });
});

describe("ports", () => {
  test("that hold as much air as the box are told to be impossible inside it, long ones to need folding", () => {
    const of = (port: object) => texts(buildVentedBox({ driver: woofer, volume: 0.017, port: port as never }));
    expect(of({ area: 0.02, length: 0.9 })).toMatch(/holds 18 L of air, as much as or more than its chamber of 17 L: it cannot stand inside/);
    expect(of({ area: 0.002, length: 0.9 })).toMatch(/it will need folding/);
    expect(of({ area: 0.002, length: 0.1 })).toBe("");
  });

  test("two of them tune as one of twice the area with ends of their own", () => {
    const tuning = (count: number) => buildVentedBox({ driver: woofer, volume: 0.017, port: { area: 0.002, length: 0.12, count } }).facts.find((f) => f.name === "tuning (Thiele 1961), outer end in a half space")!.value;
    // Helmholtz resonator: two masses side by side are half of one (Rayleigh, Theory of Sound)
    expect(tuning(2) / tuning(1)).toBeCloseTo(Math.SQRT2, 12);
    const box = buildVentedBox({ driver: woofer, volume: 0.017, wallLoss: false, port: { area: 0.002, tuning: 45, count: 2 } });
    const p = predictDesign(box, { ...at(2.83), frequencies: logGrid(35, 60, 1001) });
    let lowest = 0;
    p.excursionPeak.forEach((x, i) => (lowest = x < p.excursionPeak[lowest]! ? i : lowest));
    // the cone is at rest near the tuning; the tuning counts the ports as masses and the box as a spring
    expect(Math.abs(p.frequencies[lowest]! / 45 - 1)).toBeLessThan(0.02);
  });
});
