import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { deriveDriver } from "../../src/driver/derive.js";
import { InputError } from "../../src/errors.js";

const names = ["Re", "Sd", "Mms", "Cms", "Rms", "Bl", "fs", "Qms", "Qes", "Qts", "Vas"] as const;
type Name = (typeof names)[number];
type Values = Record<Name, number>;

const driverArbitrary: fc.Arbitrary<Values> = fc
  .record({
    Re: between(1, 20),
    Sd: between(5e-4, 0.12),
    Mms: between(5e-4, 0.3),
    fs: between(15, 1500),
    Qms: between(1, 15),
    Qes: between(0.15, 2),
  })
  .map(({ Re, Sd, Mms, fs, Qms, Qes }) => {
    const omega = 2 * Math.PI * fs;
    const Cms = 1 / (omega * omega * Mms);
    // density and sound speed of standard air
    const Vas = 1.2041 * 343.2 * 343.2 * Sd * Sd * Cms;
    return { Re, Sd, Mms, Cms, Rms: (omega * Mms) / Qms, Bl: Math.sqrt((omega * Mms * Re) / Qes), fs, Qms, Qes, Qts: (Qms * Qes) / (Qms + Qes), Vas };
  })
  // a large Vas or Cms is refused as a mistaken unit
  .filter((values) => values.Vas < 10 && values.Cms < 0.1);

function between(low: number, high: number): fc.Arbitrary<number> {
  return fc.double({ min: Math.log(low), max: Math.log(high), noNaN: true }).map(Math.exp);
}

// Independent judge: the parameters as functions of six free ones (logarithms of Re, Sd, Mms, Cms, Rms, Bl); a choice is
// sufficient when its gradients span all six directions. Quotients of Qts are those of a driver with Qms = 2 Qes.
const gradients: Record<Name, number[]> = {
  Re: [1, 0, 0, 0, 0, 0],
  Sd: [0, 1, 0, 0, 0, 0],
  Mms: [0, 0, 1, 0, 0, 0],
  Cms: [0, 0, 0, 1, 0, 0],
  Rms: [0, 0, 0, 0, 1, 0],
  Bl: [0, 0, 0, 0, 0, 1],
  fs: [0, 0, -0.5, -0.5, 0, 0],
  Qms: [0, 0, 0.5, -0.5, -1, 0],
  Qes: [1, 0, 0.5, -0.5, 0, -2],
  Qts: [2 / 3, 0, 0.5, -0.5, -1 / 3, -4 / 3],
  Vas: [0, 2, 0, 1, 0, 0],
};

function rank(chosen: readonly Name[]): number {
  const rows = chosen.map((name) => [...gradients[name]]);
  let found = 0;
  for (let column = 0; column < 6; column++) {
    const pivot = rows.findIndex((row, i) => i >= found && Math.abs(row[column]!) > 1e-9);
    if (pivot < 0) continue;
    [rows[found], rows[pivot]] = [rows[pivot]!, rows[found]!];
    for (let i = found + 1; i < rows.length; i++) {
      const factor = rows[i]![column]! / rows[found]![column]!;
      for (let j = 0; j < 6; j++) rows[i]![j]! -= factor * rows[found]![j]!;
    }
    found++;
  }
  return found;
}

const subsets: Name[][] = Array.from({ length: 2 ** names.length }, (_, bits) => names.filter((_name, i) => bits & (1 << i)));
const bases = subsets.filter((chosen) => chosen.length === 6 && rank(chosen) === 6);
const pick = (values: Values, chosen: readonly Name[]): Partial<Values> => Object.fromEntries(chosen.map((name) => [name, values[name]]));
const thrown = (given: Partial<Values>): string | undefined => {
  try {
    deriveDriver(given);
    return undefined;
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
};
const seed = 20250;

describe("deriveDriver over all choices of parameters", () => {
  it("knows of how many choices there are", () => {
    expect(subsets.length).toBe(2048);
    // 188 of the 462 choices of six are sufficient
    expect(bases.length).toBe(188);
  });

  it("reproduces every parameter from every sufficient choice of six", () => {
    fc.assert(
      fc.property(driverArbitrary, (values) => {
        for (const chosen of bases) {
          const driver = deriveDriver(pick(values, chosen));
          for (const name of names) {
            const off = Math.abs(driver[name] / values[name] - 1);
            if (!(off < 1e-9)) throw new Error(`${name} is off by ${off} from ${chosen.join(" ")}`);
          }
        }
      }),
      { seed, numRuns: 30 },
    );
  });

  it("takes a choice of any size exactly when it is sufficient", () => {
    fc.assert(
      fc.property(driverArbitrary, (values) => {
        for (const chosen of subsets) {
          const message = thrown(pick(values, chosen));
          if (rank(chosen) === 6) expect(message, chosen.join(" ")).toBeUndefined();
          else expect(message ?? "nothing thrown", chosen.join(" ")).toMatch(/(leaves?|came).*(expected)/);
        }
      }),
      { seed, numRuns: 3 },
    );
  });

  it("proposes parameters that complete the choice", () => {
    fc.assert(
      fc.property(driverArbitrary, fc.constantFrom(...subsets.filter((chosen) => rank(chosen) < 6)), (values, chosen) => {
        const message = thrown(pick(values, chosen))!;
        const proposed = names.filter((name) => new RegExp(`\\b${name}\\b`).test(message.split("; ")[1]!));
        if (message.includes("one more parameter")) {
          for (const name of proposed) expect(thrown(pick(values, [...chosen, name]))).toBeUndefined();
        } else {
          expect(proposed.length).toBe(6 - rank(chosen));
          expect(thrown(pick(values, [...chosen, ...proposed]))).toBeUndefined();
        }
      }),
      { seed, numRuns: 400 },
    );
  });

  it("refuses one wrong parameter among all and names it", () => {
    fc.assert(
      fc.property(driverArbitrary, fc.constantFrom(...names), fc.constantFrom(0.6, 0.9, 1.1, 1.5), (values, wrong, factor) => {
        const message = thrown({ ...values, [wrong]: values[wrong] * factor });
        expect(message ?? "nothing thrown").toMatch(new RegExp(`^driver: .*\\b${wrong} \\d`));
      }),
      { seed, numRuns: 300 },
    );
  });

  it("refuses a wrong seventh parameter and names it", () => {
    fc.assert(
      // without Qts: Qts may hardly depend on Qms, and then a wrong Qms is no contradiction
      fc.property(driverArbitrary, fc.constantFrom(...bases.filter((base) => !base.includes("Qts"))), fc.nat(), fc.constantFrom(0.8, 1.25), (values, base, choice, factor) => {
        const others = names.filter((name) => !base.includes(name) && name !== "Qts");
        const wrong = others[choice % others.length]!;
        const message = thrown({ ...pick(values, base), [wrong]: values[wrong] * factor });
        expect(message ?? "nothing thrown").toMatch(/ disagrees by \d+(\.\d)? % with /);
        expect(message).toMatch(new RegExp(`\\b${wrong} \\d`));
      }),
      { seed, numRuns: 300 },
    );
  });

  it("lets rounding pass and returns a driver that obeys every relation", () => {
    fc.assert(
      fc.property(driverArbitrary, fc.array(fc.double({ min: -0.005, max: 0.005, noNaN: true }), { minLength: 11, maxLength: 11 }), (values, errors) => {
        // five factors within 0.5 % stay within the tolerance of 3 %
        const given = Object.fromEntries(names.map((name, i) => [name, values[name] * (1 + errors[i]!)]));
        const driver = deriveDriver(given);
        const omega = 2 * Math.PI * driver.fs;
        expect(Math.abs(omega ** 2 * driver.Mms * driver.Cms - 1)).toBeLessThan(1e-12);
        expect(Math.abs((omega * driver.Mms) / driver.Rms / driver.Qms - 1)).toBeLessThan(1e-12);
        expect(Math.abs((omega * driver.Mms * driver.Re) / driver.Bl ** 2 / driver.Qes - 1)).toBeLessThan(1e-12);
        expect(Math.abs(driver.Qts / driver.Qms + driver.Qts / driver.Qes - 1)).toBeLessThan(1e-12);
        expect(Math.abs((1.2041 * 343.2 ** 2 * driver.Sd ** 2 * driver.Cms) / driver.Vas - 1)).toBeLessThan(1e-12);
      }),
      { seed, numRuns: 200 },
    );
  });
});
