import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { makeAir } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { type CabinOptions, makeCabin } from "../../src/space/cabin.js";
import { type Point, spaceTransfer } from "../../src/space/space.js";
import { firstModes } from "../../src/space/space-notes.js";

// Source of every wanted value: finite elements of the true profile, see spaces-README.md beside this file and case.json of each case.
const air = makeAir({ density: 1.2041, soundSpeed: 343.2 });
const source: OpeningElement = { kind: "opening", name: "source", node: "source", area: 1e-8, load: { kind: "space" }, massInDriver: false };

function columns(name: string): ReadonlyMap<string, Float64Array> {
  const lines = readFileSync(new URL(`${name}/response.csv`, import.meta.url), "utf8").trim().split("\n").filter((line) => !line.startsWith("#"));
  const rows = lines.slice(1).map((line) => line.split(",").map(Number));
  return new Map(lines[0]!.split(",").map((head, i) => [head, Float64Array.from(rows, (row) => row[i]!)]));
}

/** Deviation in dB at each frequency. */
function deviation(cabin: CabinOptions, table: ReadonlyMap<string, Float64Array>, quantity: string): Float64Array {
  const f = table.get("frequency_hz")!, re = table.get(`${quantity}_re_pa_s_m3`)!, im = table.get(`${quantity}_im_pa_s_m3`)!;
  const h = spaceTransfer(makeCabin(cabin), [source], 1, f, air);
  return f.map((_, i) => 20 * Math.log10(Math.hypot(h.re[i]!, h.im[i]!) / Math.hypot(re[i]!, im[i]!)));
}

const worstBelow = (table: ReadonlyMap<string, Float64Array>, off: Float64Array, upTo: number): number => {
  const f = table.get("frequency_hz")!;
  return off.reduce((worst, x, i) => (f[i]! <= upTo ? Math.max(worst, Math.abs(x)) : worst), 0);
};

const profileOf = (name: string): readonly (readonly [number, number])[] => (JSON.parse(readFileSync(new URL(`${name}/case.json`, import.meta.url), "utf8")) as { readonly geometry: { readonly profile_m: readonly (readonly [number, number])[] } }).geometry.profile_m;

describe("a hatchback cabin by its profile, width and walls, nothing else", () => {
  const table = columns("cabin-hatchback"), f = table.get("frequency_hz")!;
  // the deviation at 183 Hz lies beside a null, where the reference itself moves by 0.016 dB with its mesh
  test.each([
    ["driver_head", [1.62, 0.36, 0.98], [0.01, 0.02, 0.1, 0.1]],
    ["rear_head", [0.86, 0.95, 0.92], [0.01, 0.03, 0.03, 0.2]],
  ] as const)("%s", (quantity, listener, limits) => {
    const off = deviation({ profile: profileOf("cabin-hatchback"), width: 1.34, lossFactor: 0, flex: { kind: "impedance", resistance: 22728.5916, mass: 0, stiffness: 0, sides: ["length", "height"] }, box: [0.26, 0.24, 0.44], listener }, table, `transfer_${quantity}`);
    const measured = [38, 77, 140, 200].map((upTo) => worstBelow(table, off, upTo));
    console.log(`cabin-hatchback ${quantity} by its profile: largest deviation ${measured.map((x) => x.toFixed(3)).join(", ")} dB up to 38, 77, 140, 200 Hz`);
    measured.forEach((x, i) => expect(x).toBeLessThan(limits[i]!));
    expect(f[f.length - 1]).toBeGreaterThan(199);
  });

  test("its first modes are those of the reference within 0.01 %", () => {
    const cabin = makeCabin({ profile: profileOf("cabin-hatchback"), width: 1.34, box: [0.26, 0.24, 0.44], listener: [1.62, 0.36, 0.98] });
    const wanted = [76.62609964370944, 128.0597014925377, 136.81402158918476, 149.23419947507156, 168.76341529611554, 187.39627437535592, 191.9091020335136, 211.84989376623943];
    firstModes(cabin, 8, air).forEach(({ frequency }, i) => expect(Math.abs(frequency / wanted[i]! - 1)).toBeLessThan(1e-4));
  });
});

describe("a sealed cabin with walls that absorb more at higher frequencies, by its profile", () => {
  const table = columns("field-cabin"), f = table.get("frequency_hz")!, width = 1.34;
  test("a source across the whole width: the mean of eight places", () => {
    const re = new Float64Array(f.length), im = new Float64Array(f.length);
    for (let j = 0; j < 8; j++) {
      const y = (width * (j + 0.5)) / 8, box: Point = [0.22, y, 0.3], listener: Point = [1.45, width / 2, 0.92];
      const cabin = makeCabin({ profile: profileOf("field-cabin"), width, lossFactor: 0, flex: { kind: "impedance", resistance: { frequencies: f, values: f.map((x) => (1.2041 * 343.2) / (0.04 * (x / 100) ** 2)) }, mass: 0, stiffness: 0, sides: ["length", "height"] }, box, listener });
      const h = spaceTransfer(cabin, [source], 1, f, air), way = Math.hypot(box[0] - listener[0], y - listener[1], box[2] - listener[2]);
      f.forEach((x, i) => {
        // the travel time is put back
        const k = (2 * Math.PI * x) / air.soundSpeed, c = Math.cos(k * way), s = Math.sin(k * way);
        re[i]! += (h.re[i]! * c + h.im[i]! * s) / 8;
        im[i]! += (h.im[i]! * c - h.re[i]! * s) / 8;
      });
    }
    const wr = table.get("transfer_re_pa_s_m3")!, wi = table.get("transfer_im_pa_s_m3")!;
    const off = f.map((_, i) => 20 * Math.log10(Math.hypot(re[i]!, im[i]!) / Math.hypot(wr[i]!, wi[i]!)));
    const measured = [38, 80, 150].map((upTo) => worstBelow(table, off, upTo));
    console.log(`field-cabin by its profile: largest deviation ${measured.map((x) => x.toFixed(4)).join(", ")} dB up to 38, 80, 150 Hz`);
    [0.001, 0.01, 0.06].forEach((limit, i) => expect(measured[i]).toBeLessThan(limit));
    // phase as well, degrees: 1.04 at the second mode, where walls couple more modes than are taken together
    const turned = f.reduce((worst, _, i) => Math.max(worst, Math.abs(Math.atan2(im[i]! * wr[i]! - re[i]! * wi[i]!, re[i]! * wr[i]! + im[i]! * wi[i]!))), 0);
    expect((turned * 180) / Math.PI).toBeLessThan(1.2);
  });
});

// A cabin with a sloping profile as a rectangle: length from the first mode, height from the volume, places shifted by a fixed amount, the first modes as they were
// found. The rectangle has other mode shapes than the profile: between the modes its nulls lie elsewhere, and 1 dB up to the second mode was not had with
// any length from 2.24 m to 2.62 m and any shift tried. Measured: 0.1 dB up to half of the first mode, 0.8 dB to 1.4 dB up to it, up to 4.1 dB beside a null
// above it. The stiffness alone is off by several times as much, which is tested too.
describe("a hatchback cabin as a rectangle with its volume, walls and first modes", () => {
  const table = columns("cabin-hatchback");
  const V = 3.090643, width = 1.34, length = 343.2 / (2 * 76.62609964370944), height = V / (length * width);
  const place = ([x, y, z]: Point): Point => [x - 0.2, y, Math.min(height, ((z - 0.08) * height) / 1.15)];
  const cabin = (listener: Point): CabinOptions => ({
    size: [length, width, height],
    volume: V,
    lossFactor: 0,
    flex: { kind: "impedance", area: 8.791290207305856, resistance: 22728.5916, mass: 0, stiffness: 0, sides: ["length", "height"] },
    modes: [{ order: [1, 0, 0], frequency: 76.62609964370944 }, { order: [2, 0, 0], frequency: 136.81402158918476 }, { order: [1, 1, 0], frequency: 149.23419947507156 }, { order: [0, 0, 1], frequency: 168.76341529611554 }],
    box: place([0.26, 0.24, 0.44]),
    listener: place(listener),
  });

  test.each([
    ["driver_head", [1.62, 0.36, 0.98], 0.15, 0.9, 4.5],
    ["rear_head", [0.86, 0.95, 0.92], 0.15, 1.6, 1.6],
  ] as const)("%s", (quantity, listener, halfWay, upToFirst, aboveFirst) => {
    const off = deviation(cabin(listener), table, `transfer_${quantity}`);
    const measured = [38, 77, 100].map((f) => worstBelow(table, off, f));
    console.log(`cabin-hatchback ${quantity}: largest deviation ${measured.map((x) => x.toFixed(2)).join(", ")} dB up to 38, 77, 100 Hz`);
    expect(measured[0]).toBeLessThan(halfWay);
    expect(measured[1]).toBeLessThan(upToFirst);
    expect(measured[2]).toBeLessThan(aboveFirst);
    // the stiffness with the walls, without modes, is worse at every one of these
    const f = table.get("frequency_hz")!, alone = f.map((_, i) => 20 * Math.log10(Math.hypot(table.get("transfer_lumped_re_pa_s_m3")![i]!, table.get("transfer_lumped_im_pa_s_m3")![i]!) / Math.hypot(table.get(`transfer_${quantity}_re_pa_s_m3`)![i]!, table.get(`transfer_${quantity}_im_pa_s_m3`)![i]!)));
    for (const [i, upTo] of [38, 77, 100].entries()) expect(measured[i]).toBeLessThan(worstBelow(table, alone, upTo) / 3);
  });

  test("20 Hz and below: within 0.2 dB by volume and walls alone", () => {
    expect(worstBelow(table, deviation(cabin([1.62, 0.36, 0.98]), table, "transfer_driver_head"), 20)).toBeLessThan(0.2);
  });
});

describe("a sealed cabin with walls that absorb more at higher frequencies, as a rectangle", () => {
  const table = columns("field-cabin"), f = table.get("frequency_hz")!;
  const V = 3.291509, width = 1.34, length = 2.4, height = V / (length * width);
  const perimeter = 2 * (2.62 + 1.2) * 0.92; // of the sloping profile, about
  const cabin: CabinOptions = {
    size: [length, width, height],
    volume: V,
    lossFactor: 0,
    // specific impedance rho c / (0.04 (f/100 Hz)^2)
    flex: { kind: "impedance", area: perimeter * width, resistance: { frequencies: f, values: f.map((x) => (1.2041 * 343.2) / (0.04 * (x / 100) ** 2)) }, mass: 0, stiffness: 0, sides: ["length", "height"] },
    modes: [{ order: [1, 0, 0], frequency: 77.5563 }, { order: [2, 0, 0], frequency: 141.9506 }, { order: [0, 0, 1], frequency: 164.2944 }],
    box: [0.12, width / 2, 0.3],
    listener: [1.35, width / 2, 0.92],
  };
  test("from source to head", () => {
    const off = deviation(cabin, table, "transfer");
    const measured = [38, 75, 80].map((upTo) => worstBelow(table, off, upTo));
    console.log(`field-cabin: largest deviation ${measured.map((x) => x.toFixed(2)).join(", ")} dB up to 38, 75, 80 Hz, ${worstBelow(table, off, 140).toFixed(2)} dB up to 140 Hz`);
    expect(measured[0]).toBeLessThan(0.2);
    expect(measured[1]).toBeLessThan(1.2);
    expect(measured[2]).toBeLessThan(2.3);
    expect(worstBelow(table, off, 140)).toBeLessThan(2.8);
  });
});
