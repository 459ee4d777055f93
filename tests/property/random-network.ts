import fc from "fast-check";
import type { DuctSection, Fill, Flare, Network, NetworkElement, OpeningElement, OpeningLoad, Wiring } from "../../src/acoustics/network.js";
import type { RadiationMatrix } from "../../src/acoustics/solve.js";
import type { MotorParameters } from "../../src/driver/parameters.js";
import type { VoiceCoil } from "../../src/driver/voice-coil.js";
import { physicalDriver } from "../support/drivers.js";

/** What a random network may hold besides lossless ducts, volumes, masses, resistances and membranes. */
export interface RandomNetworkOptions {
  /** ducts and volumes with porous fill */
  readonly fill?: boolean;
  /** round walls that take energy: on every section, or on uniform ones only */
  readonly walls?: "all" | "uniform";
  /** openings that work into a space, beside those with loads of their own */
  readonly space?: boolean;
  /** coils of which the resistance grows with a broken power of the frequency, beside plain ones and eddy branches */
  readonly powerLawCoils?: boolean;
  /** fewest drivers, no unit; 1 when missing */
  readonly fewestDrivers?: number;
  /** flares; all five when missing */
  readonly flares?: readonly Flare[];
  /** most ducts, no unit; 6 when missing */
  readonly mostDucts?: number;
}

/** Evenly on a logarithmic scale. */
export const between = (min: number, max: number): fc.Arbitrary<number> => fc.nat(10_000).map((x) => min * (max / min) ** (x / 10_000));
export const area: fc.Arbitrary<number> = between(5e-4, 0.1);
export const fill: fc.Arbitrary<Fill> = fc.record({ flowResistivity: between(800, 8000), law: fc.constantFrom<Fill["law"]>("Delany-Bazley", "Miki") });
export const allFlares: readonly Flare[] = ["uniform", "conical", "exponential", "parabolic", "hyperbolic"];

/** One section of any of the flares; a hyperbolic one with an inner waist or without. */
export function randomSection(options: Pick<RandomNetworkOptions, "fill" | "walls" | "flares"> = {}): fc.Arbitrary<DuctSection> {
  const stuffed = options.fill === true ? fc.option(fill, { nil: undefined, freq: 2 }) : fc.constant(undefined);
  return fc
    .record({ flare: fc.constantFrom(...(options.flares ?? allFlares)), length: between(0.02, 1.4), areaStart: area, growth: between(0.1, 10), bend: fc.nat(2500).map((x) => x / 1000), stuffed, zero: fc.nat(15) })
    .map(({ flare, length, areaStart, growth, bend, stuffed: porous, zero }) => ({
      flare,
      // now and then a step in area: a section without length
      length: zero === 0 ? 0 : length,
      areaStart,
      areaEnd: flare === "uniform" ? areaStart : areaStart * growth,
      walls: options.walls === "all" || (options.walls === "uniform" && flare === "uniform") ? ({ kind: "round" } as const) : undefined,
      ...(flare === "hyperbolic" ? { curvature: bend / length } : {}),
      ...(porous === undefined ? {} : { fill: porous }),
    }));
}

const coil = (powerLaw: boolean): fc.Arbitrary<VoiceCoil | undefined> => {
  const eddy = fc.record({ kind: fc.constant("eddy" as const), L2: between(1e-4, 2e-3), R2: between(1, 50) });
  const law = fc.record({ kind: fc.constant("power law" as const), K: between(0.01, 0.2), n: fc.nat(400).map((x) => 0.5 + x / 1000) });
  return powerLaw ? fc.oneof(fc.constant(undefined), eddy, law) : fc.oneof(fc.constant(undefined), eddy);
};

/** A driver of the usual sizes, invented. */
export function randomDriver(powerLawCoils = false): fc.Arbitrary<MotorParameters> {
  return fc
    .record({ Mms: between(0.004, 0.2), Cms: between(1e-4, 2e-3), Rms: between(0.3, 8), Bl: between(3, 25), Re: between(2, 12), Sd: between(0.004, 0.09), Le: fc.oneof(fc.constant(0), between(1e-5, 3e-3)), coil: coil(powerLawCoils) })
    .map(({ coil: c, ...p }) => (c === undefined ? physicalDriver("invented", p) : { ...physicalDriver("invented", p), coil: c }));
}

const load = (space: boolean): fc.Arbitrary<OpeningLoad> => {
  const own = fc.constantFrom("parallel" as const, "series" as const).chain((kind) => fc.record({ kind: fc.constant(kind), mass: between(0.5, 100), resistance: between(100, 1e5) }));
  return space ? fc.oneof({ arbitrary: fc.constant({ kind: "space" as const }), weight: 3 }, own) : own;
};

/** Series and parallel groups over all drivers, some with exchanged terminals. */
function randomWiring(names: readonly string[], choices: readonly number[]): Wiring {
  let parts: Wiring[] = names.map((name, i) => (choices[i]! % 3 === 0 ? { kind: "driver", name, reversed: true } : { kind: "driver", name }));
  for (let i = 0; parts.length > 1; i++) {
    const choice = choices[i % choices.length]!;
    const kind = choice % 2 === 0 ? "series" : "parallel";
    const together = Math.min(parts.length, 2 + (choice % 2));
    parts = [...parts.slice(together), { kind, parts: parts.slice(0, together) }];
  }
  return parts[0]!;
}

/** A random network: a tree of ducts, closed by further ducts and lumped elements into loops, with volumes, openings and one to three drivers anywhere. */
export function randomNetwork(options: RandomNetworkOptions = {}): fc.Arbitrary<Network> {
  const { fewestDrivers = 1, mostDucts = 6, space = false } = options;
  const lumped = fc.record({ from: fc.nat(99), to: fc.nat(99), mass: fc.option(between(0.5, 300), { nil: 0 }), resistance: fc.option(between(10, 1e5), { nil: 0 }), compliance: fc.option(between(1e-9, 1e-6), { nil: undefined }) });
  const volume = fc.record({ node: fc.nat(99), volume: between(1e-4, 0.1), porous: options.fill === true ? fc.option(fill, { nil: undefined }) : fc.constant(undefined) });
  return fc
    .record({
      ducts: fc.array(fc.record({ sections: fc.array(randomSection(options), { minLength: 1, maxLength: 3 }), parent: fc.nat(99), loop: fc.nat(4) }), { minLength: 1, maxLength: mostDucts }),
      lumped: fc.array(lumped, { maxLength: 4 }),
      volumes: fc.array(volume, { maxLength: 3 }),
      openings: fc.array(fc.record({ node: fc.nat(99), area, load: load(space), cone: fc.boolean() }), { minLength: 1, maxLength: 3 }),
      release: fc.option(fc.nat(99), { nil: undefined, freq: 3 }),
      drivers: fc.array(fc.record({ driver: randomDriver(options.powerLawCoils), front: fc.nat(99), back: fc.nat(99) }), { minLength: fewestDrivers, maxLength: 3 }),
      choices: fc.array(fc.nat(99), { minLength: 4, maxLength: 4 }),
    })
    .map((drawn) => {
      const nodes = ["n0"], elements: NetworkElement[] = [];
      const at = (i: number): string => nodes[i % nodes.length]!;
      const other = (node: string, i: number): string => {
        const rest = nodes.filter((n) => n !== node);
        return rest[i % rest.length]!;
      };
      drawn.ducts.forEach(({ sections, parent, loop }, i) => {
        const from = at(parent);
        // a duct of no length at all would be a short circuit: the last section always has one
        const whole = sections.every((s) => s.length === 0) ? [...sections, { ...sections[0]!, length: 0.1 }] : sections;
        if (loop === 0 && nodes.length > 1) elements.push({ kind: "duct", name: `duct ${i}`, from, to: other(from, i), sections: whole });
        else {
          elements.push({ kind: "duct", name: `duct ${i}`, from, to: `n${i + 1}`, sections: whole });
          nodes.push(`n${i + 1}`);
        }
      });
      drawn.lumped.forEach((e, i) => {
        const from = at(e.from);
        const resistance = e.mass === 0 && e.compliance === undefined && e.resistance === 0 ? 500 : e.resistance;
        elements.push({ kind: "lumped", name: `lumped ${i}`, from, to: other(from, e.to), mass: e.mass, resistance, ...(e.compliance === undefined ? {} : { compliance: e.compliance }) });
      });
      drawn.volumes.forEach((v) => elements.push({ kind: "volume", node: at(v.node), volume: v.volume, ...(v.porous === undefined ? {} : { fill: v.porous }) }));
      drawn.openings.forEach((o, i) => elements.push({ kind: "opening", name: `opening ${i}`, node: at(o.node), area: o.area, load: o.load, massInDriver: o.cone }));
      if (drawn.release !== undefined) elements.push({ kind: "opening", name: "release", node: at(drawn.release), area: 0.01, load: { kind: "release" }, massInDriver: false });
      const drivers = drawn.drivers.map(({ driver, front, back }, i) => ({ name: `driver ${i}`, driver, front: at(front), back: other(at(front), back) }));
      return { elements, drivers, wiring: randomWiring(drivers.map((d) => d.name), drawn.choices) };
    });
}

/** A symmetrical passive matrix of radiation impedances over m openings, drawn from a seed: what any space could give. */
export function randomRadiation(m: number, frequencies: Float64Array, seed: number): RadiationMatrix {
  const draw = seededNumbers(seed);
  const n = frequencies.length, re = new Float64Array(n * m * m), im = new Float64Array(n * m * m);
  const mix = Float64Array.from({ length: m * m }, draw), mass = Float64Array.from({ length: m * m }, draw);
  for (let f = 0; f < n; f++) {
    const w = frequencies[f]! / 100;
    for (let i = 0; i < m; i++) {
      for (let j = 0; j < m; j++) {
        // R = G G^T is positive semidefinite; X = w M symmetrical
        for (let k = 0; k < m; k++) re[(f * m + i) * m + j]! += 2000 * w * w * mix[i * m + k]! * mix[j * m + k]!;
        im[(f * m + i) * m + j] = 3000 * w * (mass[i * m + j]! + mass[j * m + i]!) + (i === j ? 5000 * w : 0);
      }
    }
  }
  return { re, im };
}

/** The same between the openings of a network, with nothing in the rows and columns of those that have a load of their own, as a space gives it. */
export function randomSpace(openings: readonly OpeningElement[], frequencies: Float64Array, seed: number): RadiationMatrix {
  const m = openings.length, all = randomRadiation(m, frequencies, seed);
  for (let f = 0; f < frequencies.length; f++) {
    for (let i = 0; i < m; i++) {
      for (let j = 0; j < m; j++) {
        if (openings[i]!.load.kind === "space" && openings[j]!.load.kind === "space") continue;
        all.re[(f * m + i) * m + j] = 0;
        all.im[(f * m + i) * m + j] = 0;
      }
    }
  }
  return all;
}

/** Numbers from -0.5 to 0.5, no unit, always the same for a seed (a congruential sequence). */
export function seededNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296 - 0.5;
  };
}
