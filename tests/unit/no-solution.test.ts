import { describe, expect, test } from "vitest";
import { networkWithDriver, type DuctSection, type NetworkElement } from "../../src/acoustics/network.js";
import { noSolution } from "../../src/acoustics/no-solution.js";
import { makePath } from "../../src/acoustics/path.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { standardAir } from "../../src/air/air.js";
import { InputError, SolveError } from "../../src/errors.js";
import { driverA } from "../support/drivers.js";

const section: DuctSection = { flare: "uniform", length: 1, areaStart: 0.01, areaEnd: 0.01, walls: undefined };
const duct = (name: string, from: string, to: string, length = 1): NetworkElement => ({ kind: "duct", name, from, to, sections: [{ ...section, length }] });
const open = (name: string, node: string): NetworkElement => ({ kind: "opening", name, node, area: 0.01, load: { kind: "release" }, massInDriver: false });
const base: readonly NetworkElement[] = [open("front", "front"), { kind: "volume", node: "back", volume: 0.02 }];
const errorOf = (elements: readonly NetworkElement[], frequency = 50): SolveError | InputError => {
  try {
    const m = elements.filter((e) => e.kind === "opening").length;
    solveNetwork(networkWithDriver(elements, driverA, "front", "back"), { voltage: 1, sourceResistance: 0 }, Float64Array.of(frequency), standardAir, { re: new Float64Array(m * m), im: new Float64Array(m * m) });
  } catch (error) {
    if (error instanceof SolveError || error instanceof InputError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
};

describe("a network without a solution says why", () => {
  test("an empty loop", () => {
    const error = errorOf([...base, duct("one", "back", "far", 0), duct("two", "back", "far", 0)]);
    expect(error).toBeInstanceOf(InputError);
    expect(error.message).toMatch(/^network: a loop without impedance: the duct "one" without length, the duct "two" without length;/);
    expect(errorOf([...base, duct("step", "front", "x", 0), open("second", "x")]).came).toBe('a loop without impedance: the duct "step" without length, the opening "front" without load, the opening "second" without load');
  });

  test("a part that nothing determines", () => {
    const error = errorOf([...base, { kind: "lumped", name: "apart", from: "x", to: "y", mass: 1, resistance: 1 }]);
    expect(error.came).toBe('no finite solution at 50 Hz: nothing determines the pressure at "x"');
  });

  test("a resonance, numbers that are too large, and neither", () => {
    const network = networkWithDriver(base, driverA, "front", "back");
    const reason = (isFinite: boolean, isSolvable: boolean): string => noSolution(network, 50, { isFinite, isSolvableAt: () => isSolvable }).came;
    expect(reason(true, true)).toContain("a resonance without loss");
    expect(reason(false, true)).toContain("numbers became too large");
    expect(reason(true, false)).toContain("do not determine one another");
  });

  test("a mass and a spring in series between two openings without load: at their resonance, and beside it a solution", () => {
    // a frequency at which omega m and 1 / (omega c) cancel to the last digit
    const f = Array.from({ length: 100 }, (_, i) => 20 + i).find((x) => 2 * Math.PI * x - 1 / (2 * Math.PI * x * (1 / (2 * Math.PI * x) ** 2)) === 0)!;
    const short: NetworkElement = { kind: "lumped", name: "short", from: "front", to: "x", mass: 1, resistance: 0, compliance: 1 / (2 * Math.PI * f) ** 2 };
    expect(errorOf([...base, short, open("second", "x")], f).came).toBe(`no finite solution at ${f} Hz: a resonance without loss`);
    expect(() => errorOf([...base, short, open("second", "x")], f * 1.001)).toThrow("nothing was thrown");
  });
});

describe("what the solver refuses by name", () => {
  test.each([0, -50, NaN, Infinity])("%f Hz", (frequency) => {
    const error = errorOf(base, frequency);
    expect(error).toBeInstanceOf(InputError);
    expect(error.where).toBe("solveNetwork.frequencies");
  });

  test("a uniform section of two areas", () => {
    const bad: NetworkElement = { kind: "duct", name: "line", from: "back", to: "far", sections: [{ ...section, areaEnd: 0.02 }] };
    const error = errorOf([...base, bad]);
    expect(error).toBeInstanceOf(InputError);
    expect(error.where).toContain('duct "line".areaEnd');
  });

  test("a uniform stretch of a path that ends with another area; two stations at one distance are a step", () => {
    const shape = { crossSection: { kind: "round" }, wallLoss: true } as const;
    expect(() => makePath({ ...shape, stations: [{ at: 0, area: 0.01, flare: "uniform" }, { at: 1, area: 0.02, flare: "uniform" }] })).toThrow(/^path\.stations\[1\]\.area: 0\.02 m\^2 after a uniform stretch of 0\.01 m\^2/);
    expect(makePath({ ...shape, stations: [{ at: 0, area: 0.01, flare: "uniform" }, { at: 1, area: 0.01, flare: "uniform" }, { at: 1, area: 0.02, flare: "uniform" }, { at: 2, area: 0.02, flare: "uniform" }] }).stations).toHaveLength(4);
  });
});
