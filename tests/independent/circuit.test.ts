import { Simulation } from "eecircuit-engine";
import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { Network } from "../../src/acoustics/network.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { randomNetwork } from "../property/random-network.js";
import { type Circuit, circuitOf } from "./circuit.js";

// A general circuit simulator, compiled to WebAssembly and taken from the package registry, solves random networks a second time.
const seed = 20262, drive = { voltage: 2.83, sourceResistance: 0.3 }, sweep = { from: 21, to: 461, count: 12 };
const simulator = new Simulation();
beforeAll(() => simulator.start());

type Series = { readonly re: Float64Array; readonly im: Float64Array };

async function simulate(circuit: Circuit): Promise<ReadonlyMap<string, Series>> {
  simulator.setNetList(circuit.text);
  const result = await simulator.runSim();
  if (result.dataType !== "complex") throw new Error(`no alternating current: ${simulator.getError().join(" ")}`);
  return new Map(result.data.map((d) => [d.name, { re: Float64Array.from(d.values, (v) => v.real), im: Float64Array.from(d.values, (v) => v.img) }]));
}

/** Largest deviation of series from ours, relative to their size, but at least to a thousandth of the largest of its kind at that frequency. */
function deviation(mine: ReadonlyMap<string, Series>, theirs: (name: string) => Series, kinds: readonly (readonly string[])[]): number {
  let worst = 0;
  const size = (s: Series, f: number): number => Math.hypot(s.re[f]!, s.im[f]!);
  for (const names of kinds) {
    for (let f = 0; f < sweep.count; f++) {
      const top = Math.max(...names.map((name) => size(mine.get(name)!, f)));
      for (const name of names) {
        const a = mine.get(name)!, b = theirs(name);
        const off = Math.hypot(a.re[f]! - b.re[f]!, a.im[f]! - b.im[f]!) / Math.max(size(b, f), 1e-3 * top);
        if (!(off <= worst)) worst = off;
      }
    }
  }
  return worst;
}

/** Our solution in the names of the circuit. */
function ours(network: Network, circuit: Circuit, frequencies: Float64Array): Map<string, Series> {
  const n = frequencies.length, m = circuit.flow.size;
  const s = solveNetwork(network, drive, frequencies, standardAir, { re: new Float64Array(n * m * m), im: new Float64Array(n * m * m) });
  const part = (re: Float64Array, im: Float64Array, i: number): Series => ({ re: re.slice(i * n, (i + 1) * n), im: im.slice(i * n, (i + 1) * n) });
  const out = new Map<string, Series>();
  s.nodes.forEach((name, i) => out.set(circuit.pressure.get(name)!, part(s.pressureRe, s.pressureIm, i)));
  s.openings.forEach((name, i) => out.set(circuit.flow.get(name)!, part(s.flowRe, s.flowIm, i)));
  s.drivers.forEach((name, i) => {
    out.set(circuit.coil.get(name)!, part(s.coilCurrentRe, s.coilCurrentIm, i));
    out.set(circuit.velocity.get(name)!, part(s.velocityRe, s.velocityIm, i));
  });
  // the source of the circuit counts the current that flows into its upper end
  out.set("i(vs)", { re: s.currentRe.map((x) => -x), im: s.currentIm.map((x) => -x) });
  return out;
}

const coarse = 24;
const limits: number[] = [];

describe("a general circuit simulator solves random networks as we do", () => {
  const networks = fc.sample(randomNetwork({ mostDucts: 4 }), { seed, numRuns: 24 });
  test.each(networks.map((network, i) => ({ i, network, drivers: network.drivers.length })))("network $i with $drivers drivers", async ({ network }) => {
    const circuits = [1, 2, 4].map((k) => circuitOf(network, drive, standardAir, sweep, coarse * k));
    const [a, b, c] = [await simulate(circuits[0]!), await simulate(circuits[1]!), await simulate(circuits[2]!)];
    const frequencies = b.get("frequency")!.re;
    expect(frequencies).toHaveLength(sweep.count);
    const { pressure, flow, coil, velocity } = circuits[0]!;
    const kinds = [[...pressure.values()], [...flow.values()], [...coil.values(), "i(vs)"], [...velocity.values()]];
    const mine = ours(network, circuits[0]!, frequencies);
    // a staircase of n steps errs by n^-2 and n^-4: three of them give the limit (Richardson)
    const limit = (u: Float64Array, v: Float64Array, w: Float64Array): Float64Array => u.map((_, f) => (u[f]! - 20 * v[f]! + 64 * w[f]!) / 45);
    const first = deviation(mine, (name) => a.get(name)!, kinds), second = deviation(mine, (name) => c.get(name)!, kinds);
    const last = deviation(mine, (name) => ({ re: limit(a.get(name)!.re, b.get(name)!.re, c.get(name)!.re), im: limit(a.get(name)!.im, b.get(name)!.im, c.get(name)!.im) }), kinds);
    // were we wrong, the limit would be as far from us as the finest staircase; near a sharp resonance that one is 3 % off and the limit 0.07 %
    expect(last).toBeLessThan(Math.max(1e-8, 0.04 * second));
    expect(last).toBeLessThan(1e-3);
    if (second > 1e-9) expect(first / second).toBeGreaterThan(10); // 16 for a method of second order
    limits.push(last);
  });

  test("half of the networks agree to 1e-7, and the draw holds every part there is", () => {
    expect(limits.sort((x, y) => x - y)[limits.length / 2]).toBeLessThan(1e-7);
    const text = JSON.stringify(networks);
    for (const part of ["uniform", "conical", "exponential", "parabolic", "hyperbolic", "volume", "lumped", "compliance", "release", "parallel", "series", "eddy", "reversed"]) expect(text).toContain(`"${part}"`);
    expect(new Set(networks.map((network) => network.drivers.length))).toEqual(new Set([1, 2, 3]));
    expect(networks.some((network) => network.elements.filter((e) => e.kind === "duct").length >= new Set(network.elements.flatMap((e) => (e.kind === "duct" ? [e.from, e.to] : []))).size)).toBe(true); // a loop of ducts
  });
});
