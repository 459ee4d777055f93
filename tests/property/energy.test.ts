import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { fillRange, passiveFrom } from "../../src/acoustics/fill.js";
import { type Network, openingsOf } from "../../src/acoustics/network.js";
import { type NetworkSolution, type RadiationMatrix, solveNetwork } from "../../src/acoustics/solve.js";
import { coilImpedance } from "../../src/driver/voice-coil.js";
import { chainOf, type Complex } from "../support/ducts.js";
import { randomNetwork, randomSpace } from "./random-network.js";

const seed = 20267, air = standardAir, drive = { voltage: 2.83, sourceResistance: 0.2 };
const frequencies = Float64Array.of(7, 19, 33, 52, 88, 131, 260, 470);
const over = (a: Complex, b: Complex): Complex => {
  const q = b[0] ** 2 + b[1] ** 2;
  return [(a[0] * b[0] + a[1] * b[1]) / q, (a[1] * b[0] - a[0] * b[1]) / q];
};
/** Re(a conj b), W for a pressure and a flow. */
const power = (a: Complex, b: Complex): number => a[0] * b[0] + a[1] * b[1];

interface Balance {
  /** out of the source, W */
  readonly input: number;
  /** heat in source, coils, suspensions, resistances and loads, and sound into the space, W */
  readonly spent: number;
}

/** Power in and out at one frequency, each part from its own law (mean power Re(p U*), Kinsler et al., Fundamentals of Acoustics). */
function balanceAt(network: Network, s: NetworkSolution, radiation: RadiationMatrix, f: number): Balance {
  const n = frequencies.length, omega = 2 * Math.PI * frequencies[f]!;
  const p = (node: string): Complex => [s.pressureRe[s.nodes.indexOf(node) * n + f]!, s.pressureIm[s.nodes.indexOf(node) * n + f]!];
  const openings = openingsOf(network), m = openings.length, coil = new Float64Array(2);
  const u = openings.map((_, o): Complex => [s.flowRe[o * n + f]!, s.flowIm[o * n + f]!]);
  let spent = drive.sourceResistance * (s.currentRe[f]! ** 2 + s.currentIm[f]! ** 2);
  network.drivers.forEach(({ driver }, d) => {
    coilImpedance(driver, omega, coil);
    spent += coil[0]! * (s.coilCurrentRe[d * n + f]! ** 2 + s.coilCurrentIm[d * n + f]! ** 2) + driver.Rms * (s.velocityRe[d * n + f]! ** 2 + s.velocityIm[d * n + f]! ** 2);
  });
  for (const e of network.elements) {
    if (e.kind === "lumped" && e.resistance > 0) {
      const a = p(e.from), b = p(e.to);
      const flow = over([a[0] - b[0], a[1] - b[1]], [e.resistance, omega * e.mass - (e.compliance === undefined ? 0 : 1 / (omega * e.compliance))]);
      spent += e.resistance * power(flow, flow);
    }
  }
  openings.forEach((o, i) => {
    const { load } = o;
    if (load.kind === "series") spent += load.resistance * power(u[i]!, u[i]!);
    else if (load.kind === "parallel") spent += power(p(o.node), p(o.node)) / load.resistance;
    else if (load.kind === "space") {
      // all of U^H R U; the matrix is symmetrical and its real part alone takes power
      for (let j = 0; j < m; j++) if (openings[j]!.load.kind === "space") spent += radiation.re[(f * m + i) * m + j]! * power(u[i]!, u[j]!);
    }
  });
  return { input: drive.voltage * s.currentRe[f]!, spent };
}

const radiationOf = (network: Network, number: number): RadiationMatrix => randomSpace(openingsOf(network), frequencies, number);

describe("energy of random networks with one to three drivers, any wiring, membranes, loads and mutual radiation", () => {
  test("walls without loss: electrical power in = heat in the resistances + sound radiated, to 1e-9", () => {
    let worst = 0;
    fc.assert(
      fc.property(randomNetwork({ space: true, powerLawCoils: true }), fc.nat(1000), (network, number) => {
        const radiation = radiationOf(network, number);
        const s = solveNetwork(network, drive, frequencies, air, radiation);
        for (let f = 0; f < frequencies.length; f++) {
          const { input, spent } = balanceAt(network, s, radiation, f);
          worst = Math.max(worst, Math.abs(input - spent) / spent);
          expect(Math.abs(input - spent) / spent).toBeLessThan(1e-9);
        }
      }),
      { seed, numRuns: 250 },
    );
    console.log(`largest imbalance of power ${worst.toExponential(1)}`);
  });

  test("walls that take energy: nothing is gained", () => {
    fc.assert(
      fc.property(randomNetwork({ space: true, walls: "all", mostDucts: 4 }), fc.nat(1000), (network, number) => {
        const radiation = radiationOf(network, number);
        const s = solveNetwork(network, drive, frequencies, air, radiation);
        for (let f = 0; f < frequencies.length; f++) {
          const { input, spent } = balanceAt(network, s, radiation, f);
          expect(input).toBeGreaterThan(spent * (1 - 1e-9));
        }
      }),
      { seed, numRuns: 60 },
    );
  });

  test("fill: each filled duct and volume takes power where its law is that of a passive material, and the sum is the balance", () => {
    let filled = 0;
    fc.assert(
      fc.property(randomNetwork({ space: true, fill: true, mostDucts: 4 }), fc.nat(1000), (network, number) => {
        const radiation = radiationOf(network, number), n = frequencies.length;
        const s = solveNetwork(network, drive, frequencies, air, radiation);
        const fills = network.elements.flatMap((e) => (e.kind === "duct" ? e.sections.flatMap((d) => (d.flare !== "turn" && d.fill !== undefined ? [d.fill] : [])) : e.kind === "volume" && e.fill !== undefined ? [e.fill] : []));
        filled += fills.length;
        for (let f = 0; f < n; f++) {
          const { input, spent } = balanceAt(network, s, radiation, f);
          if (fills.every((x) => frequencies[f]! > passiveFrom(x, air))) expect(input).toBeGreaterThan(spent * (1 - 1e-9));
          if (fills.length === 0) expect(Math.abs(input - spent) / spent).toBeLessThan(1e-9);
        }
      }),
      { seed, numRuns: 120 },
    );
    expect(filled).toBeGreaterThan(100);
  });

  test("a filled closed volume takes power from passiveFrom on, and gives it below, under either law", () => {
    for (const law of ["Delany-Bazley", "Miki"] as const) {
      const fill = { flowResistivity: 10_000, law };
      const limit = passiveFrom(fill, air);
      expect(limit).toBeLessThan(1.5 * fillRange(fill, air).from);
      for (const [factor, sign] of [[0.9, -1], [0.999, -1], [1.001, 1], [1.1, 1], [30, 1]] as const) {
        // a very short closed duct is a volume: C / A is its admittance
        const [a, , c] = chainOf([{ flare: "uniform", length: 1e-4, areaStart: 0.01, areaEnd: 0.01, walls: undefined, fill }], limit * factor);
        expect(Math.sign(over(c, a)[0])).toBe(sign);
      }
    }
  });
});
