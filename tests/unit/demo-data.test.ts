import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { airGrid } from "../../data-demo/field/air-grid.js";
import { cutCells } from "../../data-demo/field/cut-cells.js";
import { march } from "../../data-demo/field/march.js";
import { movingCone } from "../../data-demo/field/moving-cone.js";
import { airArea, edgeLength, type OutlineLoop } from "../../data-demo/field/outline.js";
import { pathText } from "../../data-demo/field/path-text.js";
import { pathVolume, type FoldedPlan, type PathStation } from "../../data-demo/field/path.js";
import { demoDrive, microphoneDeviation, nearTransfer } from "../../data-demo/field/recording.js";
import { fourierSums, levels, product, quotient } from "../../data-demo/field/spectrum.js";
import { cornerShape, thinTurnShape, turnDucts } from "../../data-demo/field/turn-ducts.js";
import { builtDriver, solveVanHorn, type VanHorn } from "../../data-demo/field/van-horn.js";
import { wallLoss } from "../../data-demo/field/wall-loss.js";

const folder = new URL("../../data-demo/", import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const plan = JSON.parse(read("van-horn-outline.json")) as FoldedPlan & VanHorn;
const density = 1.2041, speed = 343.2;

/** A straight closed-open duct, turned by an angle (rad) in the grid; lengths in m. */
function turnedDuct(length: number, width: number, options: { angle: number }): OutlineLoop {
  const { angle } = options, c = Math.cos(angle), s = Math.sin(angle);
  const corner = (x: number, y: number): [number, number] => [x * c - y * s + width * s + 0.001, x * s + y * c + 0.001];
  return { vertices: [corner(0, 0), corner(length, 0), corner(length, width), corner(0, width)], edges: ["wall", "open", "wall", "wall"] };
}

/** Fundamental of a closed-open duct let go from its first mode, Hz, and the field energies. */
function ringing(loop: OutlineLoop, options: { length: number; size: number; lossy?: boolean }) {
  const cut = cutCells([loop], options.size), grid = airGrid(cut, { depth: 0.1 });
  // start: a uniform pressure; the first mode is by far the strongest in the flow
  const run = march(grid, {
    density, speed, openings: [{ edge: "open", resistance: 0 }], duration: 0.12, voltage: () => 0,
    startPressure: new Float64Array(grid.volume.length).fill(1),
    ...(options.lossy ? { loss: wallLoss({ radius: 0.02, factor: 1.5, density }) } : {}),
  });
  const guess = speed / 4 / options.length, flow = run.flow[0]!.map((v, n) => v * Math.sin(Math.PI * (n + 0.5) / run.flow[0]!.length) ** 2);
  const frequencies = Float64Array.from({ length: 401 }, (_, i) => guess * (0.98 + 0.0001 * i));
  const sums = fourierSums(flow, frequencies, { timeStep: run.timeStep, offset: 0.5 });
  let best = 0;
  for (let i = 0; i < 401; i++) if (Math.hypot(sums.re[i]!, sums.im[i]!) > Math.hypot(sums.re[best]!, sums.im[best]!)) best = i;
  return { frequency: frequencies[best]!, energy: run.energy, volume: grid.volume.reduce((a, b) => a + b, 0) };
}

describe("time-domain field of the demo", () => {
  it("rings at c/(4 L) in a closed-open duct along the grid, energy kept (textbook)", () => {
    const length = 0.5, { frequency, energy } = ringing(turnedDuct(length, 0.033, { angle: 0 }), { length, size: 0.005 });
    expect(Math.abs(frequency / (speed / 4 / length) - 1)).toBeLessThan(0.0005);
    for (const one of energy) expect(Math.abs(one / energy[0]! - 1)).toBeLessThan(1e-9);
  });
  it.each([
    { angle: 0.03, size: 0.004, limit: 0.005, why: "the slope of the demo's dividers" },
    { angle: 0.43, size: 0.004, limit: 0.02, why: "25 degrees, eight cells across: the cut cells' first-order error" },
  ])("rings at c/(4 L) in a duct turned by $angle rad in the grid of $size m, energy kept (textbook; $why)", ({ angle, size, limit }) => {
    const length = 0.5, { frequency, energy, volume } = ringing(turnedDuct(length, 0.033, { angle }), { length, size });
    expect(Math.abs(volume / (length * 0.033 * 0.1) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(frequency / (speed / 4 / length) - 1)).toBeLessThan(limit);
    for (const one of energy) expect(Math.abs(one / energy[0]! - 1)).toBeLessThan(1e-9);
  });
  it("loses energy with wall loss", () => {
    const { energy } = ringing(turnedDuct(0.5, 0.033, { angle: 0 }), { length: 0.5, size: 0.011, lossy: true });
    expect(energy[energy.length - 1]!).toBeLessThan(0.7 * energy[0]!);
    expect(energy[energy.length - 1]!).toBeGreaterThan(0);
  });
  it("cuts the outline without losing air or edges", () => {
    const grid = airGrid(cutCells(plan.loops, 0.008), { depth: plan.depth });
    expect(grid.volume.reduce((a, b) => a + b, 0)).toBeCloseTo(airArea(plan.loops) * plan.depth, 12);
    for (const [name, at] of grid.edges) expect(at.area.reduce((a, b) => a + b, 0)).toBeCloseTo(edgeLength(plan.loops, name) * plan.depth, 12);
  });
  it("fits the square-root wall loss within 2 % from 20 to 600 Hz", () => {
    expect(wallLoss({ radius: 0.0276, factor: 1.5, density }).worst).toBeLessThan(0.02);
  });
});

describe("driver of the demo in time", () => {
  it("gives the closed-form impedance in free air, with its peak at the resonance (textbook)", () => {
    const driver = { ...plan.driver, Le: 4.5e-4, L2: 3e-4, R2: 5 }, timeStep = 1e-5, count = 120_000;
    const cone = movingCone(driver, { timeStep }), voltage = new Float64Array(count), current = new Float64Array(count);
    for (let n = 0; n < count; n++) { voltage[n] = Math.exp(-(((n * timeStep - 0.003) / 0.0005) ** 2) / 2); cone.step(voltage[n]!, 0); current[n] = cone.state[0]!; }
    const frequencies = Float64Array.from({ length: 120 }, (_, i) => 20 * 2 ** (i / 30));
    const z = quotient(fourierSums(voltage, frequencies, { timeStep, offset: 0 }), fourierSums(current, frequencies, { timeStep, offset: 0.5 }));
    let peak = 0;
    for (let i = 0; i < 120; i++) {
      const omega = 2 * Math.PI * frequencies[i]!, x = omega * driver.L2, branch = driver.R2 ** 2 + x * x;
      const react = omega * driver.Mms - 1 / (omega * driver.Cms), motional = driver.Bl ** 2 / (driver.Rms ** 2 + react ** 2);
      const re = driver.Re + driver.R2 * x * x / branch + motional * driver.Rms, im = omega * driver.Le + driver.R2 ** 2 * x / branch - motional * react;
      expect(Math.hypot(z.re[i]! - re, z.im[i]! - im) / Math.hypot(re, im)).toBeLessThan(2e-3);
      if (frequencies[i]! < 200 && Math.hypot(z.re[i]!, z.im[i]!) > Math.hypot(z.re[peak]!, z.im[peak]!)) peak = i;
    }
    const resonance = 1 / (2 * Math.PI * Math.sqrt(driver.Mms * driver.Cms));
    expect(Math.abs(Math.log2(frequencies[peak]! / resonance))).toBeLessThan(1 / 30);
  });
  it("is built 4 % higher in resonance and 3 % lower in electrical Q than drawn", () => {
    const built = builtDriver(plan.driver), omega = (d: { Mms: number; Cms: number }): number => 1 / Math.sqrt(d.Mms * d.Cms);
    const electricalQ = (d: { Mms: number; Cms: number; Re: number; Bl: number }): number => omega(d) * d.Mms * d.Re / d.Bl ** 2;
    expect(omega(built) / omega(plan.driver)).toBeCloseTo(1.04, 9);
    expect(electricalQ(built) / electricalQ(plan.driver)).toBeCloseTo(0.97, 9);
  });
});

describe("straight path of the demo", () => {
  it("has the turns' closed forms (limits derived by conformal mapping; 1.1146 at g = h, t = 0.1 h from finite elements)", () => {
    expect(cornerShape(0.07, 0.07)).toBeCloseTo(1 - 2 / Math.PI * Math.log(2), 12);
    expect(thinTurnShape(0.07, 0.07, { gap: 0.05 })).toBeCloseTo(2 * 5 / 7 - 4 / Math.PI * Math.log(Math.sinh(Math.PI * 5 / 14)), 9);
    const ducts = turnDucts({ first: 0.1, second: 0.1, gap: 0.1, divider: 0.01 }, 0.2);
    expect(Math.abs(ducts.reduce((sum, duct) => sum + duct.length / duct.area, 0) * 0.2 / 1.1146 - 1)).toBeLessThan(0.001);
    expect(ducts.reduce((sum, duct) => sum + duct.length * duct.area, 0)).toBeCloseTo(0.2 * 0.1 * 0.21, 12);
  });
  it("is the committed one and holds the outline's air within 1.5 %", () => {
    const committed = read("van-horn-path.json"), path = JSON.parse(committed) as { stations: PathStation[]; volume: number; length: number; taps: { front: number; back: number } };
    expect(committed).toBe(pathText(plan));
    const volume = pathVolume(path.stations);
    expect(Math.abs(volume / (airArea(plan.loops) * plan.depth) - 1)).toBeLessThan(0.015);
    expect(volume).toBeCloseTo(path.volume, 6);
    expect(path.stations.at(-1)).toEqual({ at: path.length, area: 0.02272, what: "mouth run back" });
    for (let i = 1; i < path.stations.length; i++) expect(path.stations[i]!.at).toBeGreaterThanOrEqual(path.stations[i - 1]!.at);
    expect(path.taps.front).toBeCloseTo(0.075, 2);
    expect(path.length - path.taps.back).toBeCloseTo(0.075, 2);
  });
});

describe("committed demo files", () => {
  it.each(["yard-1m.csv", "near-mouth.csv", "impedance.csv", "microphone.csv"])("%s says that it is synthetic and by which maker and seed", (name) => {
    const text = read(name);
    expect(text).toMatch(/^# SYNTHETIC/);
    expect(text).toMatch(/make-demo-data\.ts, seed \d+/);
  });
  it("yard-1m.csv is written with semicolons, decimal commas and CRLF", () => {
    const lines = read("yard-1m.csv").split("\r\n").filter((line) => line && !line.startsWith("#"));
    expect(lines[0]).toBe("frequency [Hz];level [dB];phase [degrees]");
    expect(lines.length).toBe(1 + 477);
    for (const line of lines.slice(1)) expect(line).toMatch(/^\d+,\d{3};\d+,\d\d;-?\d+,\d\d$/);
  });
  it("near-mouth.csv is what a coarser run gives, within 0.2 dB rms from 30 to 300 Hz", () => {
    const rows = read("near-mouth.csv").split("\n").filter((line) => /^\d/.test(line)).map((line) => line.split(",").map(Number)).filter(([f]) => f! >= 30 && f! <= 300);
    const frequencies = Float64Array.from(rows, ([f]) => f!), field = solveVanHorn(plan, { size: 0.008, duration: 0.4 });
    const level = levels(product(field.flowPerVolt(frequencies).mouth, nearTransfer(frequencies, { area: field.mouthArea, distance: 0.03 })));
    const volts = 20 * Math.log10(demoDrive.volts * demoDrive.gainError);
    const squares = rows.reduce((sum, [f, read], i) => sum + (level[i]! + volts + microphoneDeviation(f!) - read!) ** 2, 0);
    expect(Math.sqrt(squares / rows.length)).toBeLessThan(0.2);
  });
});
