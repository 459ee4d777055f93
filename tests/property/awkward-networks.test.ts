import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import { type DuctElement, type Network, type NetworkElement, networkWithDriver, openingsOf, type OpeningElement, type Wiring } from "../../src/acoustics/network.js";
import { type NetworkSolution, solveNetwork } from "../../src/acoustics/solve.js";
import { InputError, SolveError } from "../../src/errors.js";
import { predictDesign } from "../../src/predict/predict.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { driverA, driverB } from "../support/drivers.js";

// What a person, or a search, might put together by mistake or on purpose. Each is finite and right, or refused in words; nothing is NaN.
const opening = (name: string, node: string, load: OpeningElement["load"] = { kind: "space" }, area = 0.01): OpeningElement => ({ kind: "opening", name, node, area, load, massInDriver: false });
const duct = (from: string, to: string, change: Partial<Extract<DuctElement["sections"][number], { flare: "uniform" | "conical" | "exponential" | "parabolic" | "hyperbolic" }>> = {}): DuctElement => ({
  kind: "duct",
  name: `${from} to ${to}`,
  from,
  to,
  sections: [{ flare: "uniform", length: 1, areaStart: 0.01, areaEnd: 0.01, walls: undefined, ...change }],
});
const cone = opening("cone", "front", { kind: "space" }, 0.033);
const grid = Float64Array.of(1, 20, 85.8, 343.2, 2000, 20_000);

function solve(network: Network, frequencies: Float64Array = grid): NetworkSolution {
  return solveNetwork(network, { voltage: 1, sourceResistance: 0 }, frequencies, air, freeRadiation(freeSpace("half"), openingsOf(network), frequencies, air));
}
const withA = (...elements: readonly NetworkElement[]): Network => networkWithDriver([cone, ...elements], driverA, "front", "back");
const flowOf = (s: NetworkSolution, name: string): number[] => {
  const o = s.openings.indexOf(name), n = s.frequencies.length;
  return Array.from({ length: n }, (_, f) => Math.hypot(s.flowRe[o * n + f]!, s.flowIm[o * n + f]!));
};
function expectFinite(s: NetworkSolution): void {
  for (const values of Object.values(s)) if (values instanceof Float64Array) for (const v of values) expect(Number.isFinite(v)).toBe(true);
}

describe("ducts that take nearly all of the sound", () => {
  const fill = { flowResistivity: 10_000, law: "Miki" as const };
  test.each([0.5, 1, 2, 4, 8, 30])("a filled duct of %f m passes the same from either end, and less the longer it is", (length) => {
    const outwards = solve(withA(duct("back", "end", { length, fill }), opening("end", "end"))), inwards = solve(withA(duct("end", "back", { length, fill }), opening("end", "end")));
    expectFinite(outwards);
    const a = flowOf(outwards, "end"), b = flowOf(inwards, "end");
    a.forEach((u, f) => {
      expect(Math.abs(b[f]! - u)).toBeLessThan(1e-9 * u);
      // amplitude after e^(-alpha L) (Miki 1990); beyond 1200 dB only "nothing" is claimed
      const y = (1000 * grid[f]!) / fill.flowResistivity;
      const neper = ((2 * Math.PI * grid[f]!) / air.soundSpeed) * 11.41 * y ** -0.618 * length;
      if (neper > 4 && neper < 130) expect(u).toBeLessThan(Math.exp(-neper));
      if (neper >= 130) expect(u).toBeLessThan(1e-50);
    });
    // the load of the driver is that of an endless filled duct once little comes back: it no longer hangs on the length
    if (length >= 8) expect(inwards.velocityRe[5]!).toBeCloseTo(solve(withA(duct("end", "back", { length: 4, fill }), opening("end", "end"))).velocityRe[5]!, 15);
  });

  test("a duct of many filled sections, and a narrow slit of 20 m", () => {
    const many: DuctElement = { ...duct("end", "back"), sections: Array.from({ length: 60 }, (_, i) => ({ flare: "conical", length: 0.5, areaStart: 0.01 + i * 1e-4, areaEnd: 0.0101 + i * 1e-4, walls: undefined, fill })) };
    expectFinite(solve(withA(many, opening("end", "end"))));
    expectFinite(solve(withA(duct("end", "back", { length: 20, areaStart: 1e-5, areaEnd: 1e-5, walls: { kind: "slit", height: 1e-4 } }), opening("end", "end"))));
    expectFinite(solve(withA(duct("end", "back", { flare: "parabolic", length: 20, areaEnd: 0.2, fill: { flowResistivity: 60_000, law: "Miki" } }), opening("end", "end"))));
    expectFinite(solve(withA(duct("end", "back", { flare: "hyperbolic", length: 20, areaEnd: 0.2, curvature: 2, fill: { flowResistivity: 60_000, law: "Miki" } }), opening("end", "end"))));
  });
});

describe("nodes and elements", () => {
  test("two openings without load at one node are refused: the flow between them is not known", () => {
    expect(() => solve(withA(duct("back", "end"), opening("one", "end", { kind: "release" }), opening("two", "end", { kind: "release" })))).toThrow(/two openings without any load at "end"/);
    expect(() => solve(withA(duct("back", "end"), opening("one", "end", { kind: "release" }), opening("two", "end", { kind: "series", mass: 0, resistance: -0 })))).toThrow(InputError);
    expectFinite(solve(withA(duct("back", "end"), opening("one", "end", { kind: "release" }), opening("two", "end", { kind: "series", mass: 1, resistance: 0 }))));
  });

  test("two openings into the space at one node share the flow as their impedances do", () => {
    const s = solve(withA(duct("back", "end"), opening("one", "end"), opening("two", "end")));
    flowOf(s, "one").forEach((u, f) => expect(flowOf(s, "two")[f]! / u).toBeCloseTo(1, 12));
  });

  test("two nodes joined by nothing but a short circuit twice are told, not solved", () => {
    expect(() => solve(withA(duct("back", "end", { length: 0 }), { ...duct("back", "end", { length: 0 }), name: "again" }, opening("end", "end")))).toThrow(/a loop without impedance.*"again"/);
    expectFinite(solve(withA(duct("back", "end", { length: 0 }), opening("end", "end"))));
  });

  test("an island: a closed duct apart is still, a lumped element apart has no answer", () => {
    const island = solve(withA(duct("back", "end"), opening("end", "end"), duct("x", "y"), { kind: "volume", node: "x", volume: 0.01 }));
    expectFinite(island);
    expect(Math.abs(island.pressureRe[island.nodes.indexOf("x") * grid.length]!)).toBe(0);
    expect(() => solve(withA(duct("back", "end"), opening("end", "end"), { kind: "lumped", name: "apart", from: "x", to: "y", mass: 1, resistance: 1 }))).toThrow(SolveError);
  });

  test("both faces of a driver on the ends of one duct, and one face on a place where nothing else is", () => {
    expectFinite(solve(networkWithDriver([duct("front", "back"), opening("end", "back")], driverA, "front", "back")));
    expect(() => solve(networkWithDriver([duct("front", "end"), opening("end", "end")], driverA, "front", "back"))).toThrow(/works into "back", where nothing is/);
    expect(() => solve(networkWithDriver([duct("front", "end"), opening("end", "end")], driverA, "front", "front"))).toThrow(/both faces/);
  });

  test("a face against a closed end of no volume does not move", () => {
    const s = solve(withA({ kind: "lumped", name: "dead end", from: "back", to: "nowhere", mass: 1, resistance: 10 }));
    expectFinite(s);
    for (const v of s.velocityRe) expect(Math.abs(v)).toBeLessThan(1e-15);
  });

  test("equal names of ducts and of openings are refused; odd names of nodes are plain text", () => {
    expectFinite(solve(withA(duct("back", "__proto__"), duct("back", "constructor"), opening("end", "__proto__"), opening("other", "constructor"))));
    expect(() => solve(withA(duct("back", "end"), duct("back", "end"), opening("end", "end")))).toThrow(/two ducts are called "back to end"/);
    expect(() => solve(withA(duct("back", "end"), opening("end", "end"), opening("end", "back")))).toThrow(/two openings are called "end"/);
  });
});

describe("numbers out of all proportion", () => {
  test("lossless closed resonances hit exactly: a quarter and a half wave, open and closed", () => {
    const at = Float64Array.of(85.8, 171.6, 257.4, 343.2);
    for (const far of [[opening("end", "end")], [opening("end", "end", { kind: "release" })], []]) {
      const s = solve(withA(duct("back", "end"), ...far), at);
      expectFinite(s);
    }
  });

  test.each([["length", { length: NaN }], ["area", { areaStart: -0 }], ["area", { areaEnd: Infinity }], ["length", { length: -1 }], ["curvature", { flare: "hyperbolic" as const, curvature: 1e6 }], ["flow resistivity", { fill: { flowResistivity: 0, law: "Miki" as const } }]])("a %s that cannot be is refused", (word, change) => {
    expect(() => solve(withA(duct("back", "end", change), opening("end", "end")))).toThrow(new RegExp(word));
  });

  test("subnormal, tiny and huge sizes give finite numbers or one of our errors", () => {
    const sizes = [5e-324, 1e-300, 1e-30, 1e-12, 1e6, 1e30, 1e300];
    let solved = 0, refused = 0;
    for (const size of sizes) {
      const elements: NetworkElement[][] = [
        [{ kind: "volume", node: "back", volume: size }],
        [duct("back", "end", { length: size }), opening("end", "end")],
        [duct("back", "end", { areaStart: size, areaEnd: size }), opening("end", "end")],
        [duct("back", "end", { flare: "exponential", areaEnd: size }), opening("end", "end")],
        [duct("back", "end", { flare: "parabolic", areaEnd: size }), opening("end", "end")],
        [duct("back", "end", { areaStart: size, areaEnd: size, walls: { kind: "round" } }), opening("end", "end")],
        [duct("back", "end"), opening("end", "end", { kind: "space" }, size)],
        [duct("back", "end"), opening("end", "end", { kind: "parallel", mass: size, resistance: size })],
        [{ kind: "lumped", name: "l", from: "back", to: "end", mass: size, resistance: size, compliance: size }, opening("end", "end")],
        [duct("back", "end", { fill: { flowResistivity: size, law: "Miki" } }), opening("end", "end")],
      ];
      for (const list of elements) {
        try {
          expectFinite(solve(withA(...list)));
          solved++;
        } catch (error) {
          expect(error instanceof InputError || error instanceof SolveError, `${size} in ${JSON.stringify(list)}: ${String(error)}`).toBe(true);
          refused++;
        }
      }
    }
    console.log(`sizes out of all proportion: ${solved} solved, ${refused} refused`);
    expect(solved).toBeGreaterThan(35);
  });

  test("zero and unknown frequencies are told, and loads that do not fit", () => {
    for (const f of [0, -50, NaN, Infinity]) expect(() => solve(withA(duct("back", "end"), opening("end", "end")), Float64Array.of(f))).toThrow(/solveNetwork\.frequencies: .* at place 1; positive frequencies/);
    expect(() => solveNetwork(withA(duct("back", "end")), { voltage: 1, sourceResistance: 0 }, grid, air, { re: new Float64Array(3), im: new Float64Array(3) })).toThrow(/3 and 3 values/);
  });

  test("a drive of 1e-200 V and of 1e150 V: the impedance is the same, the level is finite", () => {
    const box = buildClosedBox({ driver: driverA, volume: 0.05 });
    const at = (voltage: number) => predictDesign(box, { drive: { voltage, sourceResistance: 0.1 }, space: freeSpace("half"), distance: 1, frequencies: Float64Array.of(20, 50, 200) });
    const wanted = at(1);
    for (const voltage of [1e-200, 1e150]) {
      const got = at(voltage);
      got.impedance.re.forEach((z, f) => expect(z).toBeCloseTo(wanted.impedance.re[f]!, 10));
      got.level.forEach((l, f) => expect(l).toBeCloseTo(wanted.level[f]! + 20 * Math.log10(voltage), 8));
      got.phase.forEach((p, f) => expect(p).toBeCloseTo(wanted.phase[f]!, 9));
    }
  });
});

describe("wiring", () => {
  const two = (wiring: Wiring): Network => ({
    elements: [cone, { kind: "volume", node: "back", volume: 0.1 }],
    drivers: [{ name: "a", driver: driverA, front: "front", back: "back" }, { name: "b", driver: driverB, front: "front", back: "back" }],
    wiring,
  });
  const a: Wiring = { kind: "driver", name: "a" }, b: Wiring = { kind: "driver", name: "b" };
  test("a group without parts, a driver twice, none, or unknown is refused by name", () => {
    expect(() => solve(two({ kind: "series", parts: [a, b, { kind: "parallel", parts: [] }] }))).toThrow(/a group without parts/);
    expect(() => solve(two({ kind: "parallel", parts: [] }))).toThrow(/a group without parts/);
    expect(() => solve(two({ kind: "series", parts: [a, b, a] }))).toThrow(/"a" is wired 2 times/);
    expect(() => solve(two(a))).toThrow(/"b" is not wired/);
    expect(() => solve(two({ kind: "series", parts: [a, b, { kind: "driver", name: "c" }] }))).toThrow(/no driver is called "c"/);
  });

  test("groups of one part, nested, change nothing; both terminals exchanged turn the sign of the whole", () => {
    const plain = solve(two({ kind: "series", parts: [a, b] }));
    const nested = solve(two({ kind: "parallel", parts: [{ kind: "series", parts: [{ kind: "parallel", parts: [a] }, { kind: "series", parts: [b] }] }] }));
    const turned = solve(two({ kind: "series", parts: [{ ...a, reversed: true }, { ...b, reversed: true }] }));
    plain.currentRe.forEach((i, f) => {
      expect(nested.currentRe[f]).toBeCloseTo(i, 13);
      expect(turned.currentRe[f]).toBeCloseTo(i, 13);
      expect(turned.velocityRe[f]).toBeCloseTo(-plain.velocityRe[f]!, 13);
    });
  });

  test("two equal drivers in series against each other, face to face in one closed space, play nothing", () => {
    const network = two({ kind: "series", parts: [{ kind: "driver", name: "a" }, { kind: "driver", name: "b", reversed: true }] });
    const s = solve({ ...network, drivers: network.drivers.map((d) => ({ ...d, driver: driverA })) });
    for (const u of flowOf(s, "cone")) expect(u).toBeLessThan(1e-15);
    expectFinite(s);
  });
});
