import { describe, expect, it } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { compareParameters, independentParameters } from "../../src/driver/contradictions.js";
import { deriveDriver, disagreements } from "../../src/driver/derive.js";
import type { GivenParameters } from "../../src/driver/derive.js";
import { freeAirImpedance } from "../../src/driver/motor-impedance.js";
import { solveRelations } from "../../src/driver/relations.js";
import { InputError } from "../../src/errors.js";

// invented driver
const Mms = 0.02;
const Cms = 0.0008;
const omega = 1 / Math.sqrt(Mms * Cms);
const full = (() => {
  const Rms = 1.2;
  const Bl = 7;
  const Re = 3.6;
  const Sd = 0.0135;
  const Qms = (omega * Mms) / Rms;
  const Qes = (omega * Mms * Re) / Bl ** 2;
  return { Re, fs: omega / (2 * Math.PI), Qms, Qes, Qts: (Qms * Qes) / (Qms + Qes), Vas: 1.2041 * 343.2 ** 2 * Sd ** 2 * Cms, Sd, Bl, Mms, Cms, Rms };
})();
type Name = keyof typeof full;
const pick = (...names: Name[]): GivenParameters => Object.fromEntries(names.map((name) => [name, full[name]]));
const error = (given: unknown, ...rest: unknown[]): InputError => {
  try {
    (deriveDriver as (...all: unknown[]) => unknown)(given, ...rest);
  } catch (caught) {
    if (caught instanceof InputError) return caught;
    throw caught;
  }
  throw new Error("nothing was thrown");
};
const expectFull = (given: GivenParameters): void => {
  const driver = deriveDriver(given);
  for (const name of Object.keys(full) as Name[]) {
    // the calculation is a few logarithms and exponentials: 1e-12 leaves room
    expect(Math.abs(driver[name] / full[name] - 1), name).toBeLessThan(1e-12);
  }
};

describe("deriveDriver, sufficient parameters", () => {
  it.each<Name[][]>([
    [["fs", "Qms", "Qes", "Vas", "Sd", "Re"]],
    [["Mms", "Cms", "Rms", "Bl", "Re", "Sd"]],
    [["fs", "Qts", "Qms", "Re", "Bl", "Sd"]],
    [["fs", "Qts", "Qes", "Re", "Bl", "Sd"]],
    [["Re", "Bl", "Qes", "Cms", "Qms", "Sd"]],
    // Qts with both other quality factors open: only their ratio is known
    [["Mms", "Rms", "Qts", "Re", "Bl", "Sd"]],
    [["Cms", "Rms", "Qts", "Re", "Bl", "Vas"]],
    // the resonance from two relations at once
    [["Cms", "Qms", "Rms", "Re", "Bl", "Sd"]],
    [["Vas", "Cms", "Qts", "Qms", "Re", "Bl"]],
    // Re from the rest
    [["fs", "Qms", "Qes", "Vas", "Sd", "Bl"]],
    [["Qts", "Rms", "Bl", "Vas", "Sd", "fs"]],
  ])("%s", (names) => {
    expectFull(pick(...names));
  });

  it("passes the rest through, freezes and names what was given", () => {
    const driver = deriveDriver({ ...pick("fs", "Qms", "Qes", "Vas", "Sd", "Re"), name: "invented", Xmax: 0.006, ratedPower: 60, nominalImpedance: 4, Le: 0.0005, Bl: undefined });
    expect(driver).toMatchObject({ name: "invented", Xmax: 0.006, ratedPower: 60, nominalImpedance: 4, Le: 0.0005 });
    expect(driver.given).toEqual(["Re", "Le", "fs", "Qms", "Qes", "Vas", "Sd", "Xmax", "ratedPower", "nominalImpedance"]);
    expect(driver.air).toEqual({ density: 1.2041, soundSpeed: 343.2 });
    expect([Object.isFrozen(driver), Object.isFrozen(driver.given), Object.isFrozen(driver.air)]).toEqual([true, true, true]);
    expect(driver.fs).toBe(full.fs);
    const bare = deriveDriver(pick("fs", "Qms", "Qes", "Vas", "Sd", "Re"));
    expect([bare.name, bare.Le, bare.Xmax]).toEqual(["unnamed driver", 0, undefined]);
  });

  it("relates Vas and Cms in the air given", () => {
    const thin = deriveDriver(pick("fs", "Qms", "Qes", "Cms", "Sd", "Re"), { ...standardAir, density: standardAir.density / 2 });
    expect(thin.Vas / full.Vas).toBeCloseTo(0.5, 12);
    expect(thin.air.density).toBe(standardAir.density / 2);
    expect(error(pick("Re"), { ...standardAir, density: 0 }).where).toBe("air.density");
  });
});

describe("deriveDriver, too few parameters", () => {
  it("says what completes them", () => {
    expect(error(pick("fs", "Qms", "Qes", "Vas", "Sd")).message).toBe("driver: Sd, fs, Qms, Qes and Vas leave Re and Bl open; one more parameter is expected: Re or Bl.");
    expect(error(pick("fs", "Qts", "Vas", "Sd", "Re")).message).toContain("one more parameter is expected: Qms, Qes, Bl or Rms.");
    expect(error(pick("fs", "Qts")).message).toContain("four more independent parameters are expected, such as Re, Sd, Qms and Vas.");
    expect(error({}).message).toBe("driver: no parameter came; six independent parameters are expected, such as Re, Sd, fs, Qms, Qes and Vas.");
    // seven, but two of them follow from the others
    expect(error(pick("fs", "Qms", "Qes", "Qts", "Vas", "Cms", "Sd")).message).toContain("one more parameter is expected: Re or Bl.");
  });

  it("puts Re first when it is open", () => {
    expect(error(pick("Mms", "Cms")).message).toBe(
      "driver: Mms and Cms leave Re, Sd, Qms, Qes, Vas, Bl, Rms and Qts open; four more independent parameters are expected, such as Re, Sd, Qms and Qes.",
    );
  });
});

describe("deriveDriver, contradictions", () => {
  const all = pick(...(Object.keys(full) as Name[]));

  it("names the fields and by how much", () => {
    const quality = error({ Qts: 0.5, Qms: 4.1, Qes: 0.42, fs: 40 });
    expect(quality.message).toBe("driver: Qts 0.5 disagrees by 31 % with 0.381 from Qms 4.1 and Qes 0.42; leave one of the three out.");
    expect([quality.where, quality.expected]).toEqual(["driver", "leave one of the three out"]);
    expect(error({ ...all, Cms: full.Cms * 1.1 }).message).toMatch(/^driver: Vas 0\.0207 m\^3 disagrees by 9\.1 % with 0\.0227 m\^3 from Sd 0\.0135 m\^2 and Cms 0\.00088 m\/N; leave one of the three out\.$/);
    expect(error({ ...all, Bl: full.Bl * 1.1 }).message).toMatch(/Qes .* from Re .*, fs .*, Mms .* and Bl .*; leave one of the five out/);
    expect(error({ ...pick("Re", "fs", "Qes", "Vas", "Sd", "Qms"), Bl: full.Bl * 0.9 }).message).toMatch(/Qes .* from Re .*, Sd .*, fs .*, Vas .* and Bl .*; leave one of the six out/);
  });

  it("finds contradictions of chains with Qts", () => {
    const chain = { ...pick("Re", "Bl", "Rms", "Mms", "fs", "Sd"), Qts: full.Qts * 1.2 };
    expect(error(chain).message).toMatch(/^driver: Qts .* disagrees by 20 % with .* from Re .*, fs .*, Mms .*, Bl .* and Rms /);
  });

  it("passes rounding up to the tolerance, the earlier parameter wins, the result obeys every relation", () => {
    const rounded = { ...all, Bl: full.Bl * 1.014, Vas: full.Vas * 0.99, Qts: full.Qts * 1.02, Rms: full.Rms * 1.029 };
    const driver = deriveDriver(rounded);
    for (const name of ["Re", "Sd", "fs", "Qms", "Qes", "Vas"] as const) expect(driver[name]).toBe(rounded[name]);
    expect(compareParameters(driver, driver.air).every((one) => one.disagreement < 1e-12)).toBe(true);
    const notes = disagreements(rounded);
    expect(notes.map((note) => note.text.split(" ")[0])).toEqual(["Mms", "Bl", "Cms", "Rms", "Qts"]);
    expect(notes.every((note) => note.severity === "remark")).toBe(true);
    expect(notes[4]!.text).toMatch(/^Qts 0\.\d+ was given, 0\.\d+ follows from the other parameters and is used \(2 % apart\)\.$/);
    expect(disagreements(all)).toEqual([]);
  });

  it("takes another tolerance", () => {
    const off = { ...all, Qts: full.Qts * 1.02 };
    expect(error(off, standardAir, { tolerance: 0.01 }).message).toContain("disagrees by 2 %");
    expect(deriveDriver({ ...all, Qts: full.Qts * 1.06 }, standardAir, { tolerance: 0.07 }).Qts).toBeCloseTo(full.Qts, 12);
    for (const tolerance of [-0.1, Number.NaN, 2]) expect(error(all, standardAir, { tolerance }).where).toBe("driver.tolerance");
    expect(deriveDriver(deriveAgain(all), standardAir, { tolerance: 0 }).fs).toBe(full.fs);
  });

  it("reports the shortest contradiction, the same in every order of the fields", () => {
    const off = { ...all, Qes: full.Qes * 1.5 };
    const turned = Object.fromEntries(Object.entries(off).reverse());
    expect(error(off).message).toContain("Qts");
    expect(error(turned).message).toBe(error(off).message);
  });
});

describe("deriveDriver, what no driver has", () => {
  const six = pick("fs", "Qms", "Qes", "Vas", "Sd", "Re");

  it("refuses values that are not positive numbers", () => {
    for (const name of ["fs", "Qms", "Vas", "Xmax", "ratedPower", "nominalImpedance"] as const) {
      for (const value of [0, -1, Number.NaN, Number.POSITIVE_INFINITY, null, "3"]) expect(error({ ...six, [name]: value }).where).toBe(`driver.${name}`);
    }
    expect(error({ ...six, Le: -1e-4 }).message).toContain("driver.Le: Le -0.0001 H is not above zero");
    expect(deriveDriver({ ...six, Le: 0 }).Le).toBe(0);
  });

  it("refuses values that were meant in another unit", () => {
    expect(error({ ...six, Xmax: 6 }).message).toBe("driver.Xmax: Xmax 6 m is more than any driver has; at most 1 m is expected. perhaps \"6 mm\" was meant.");
    expect(error({ ...six, Vas: 20.7 }).where).toBe("driver.Vas");
    expect(error({ ...six, Sd: 135 }).where).toBe("driver.Sd");
    expect(error({ ...six, Mms: 20 }).where).toBe("driver.Mms");
  });

  it("refuses a Qts that is not below Qms and Qes", () => {
    expect(error({ ...six, Qms: undefined, Qts: 0.6, Qes: 0.6 }).message).toBe("driver: Qts 0.6 is not below Qes 0.6; a smaller Qts or a larger Qes is expected.");
    expect(error({ Qts: 5, Qms: 4 }).message).toBe("driver: Qts 5 is not below Qms 4; a smaller Qts or a larger Qms is expected.");
    // with all three, rounding may lift Qts to Qes: the earlier two win
    const lifted = deriveDriver({ ...six, Qms: 60, Qes: 0.37, Qts: 0.37 });
    expect(lifted.Qts).toBeLessThan(0.37);
    // Qes is not given, but follows
    const { Re, fs, Mms: mass, Bl, Sd } = full;
    expect(error({ Re, fs, Mms: mass, Bl, Sd, Qts: full.Qes * 1.1 }).message).toMatch(/Qts .* is not below Qes .*, which the other parameters give; a smaller Qts or a larger Qes/);
    expect(error({ Re, fs, Mms: mass, Rms: full.Rms, Sd, Qts: full.Qms * 1.1 }).message).toMatch(/is not below Qms .*, which the other parameters give/);
  });

  it("refuses unknown fields and names that are no text", () => {
    expect(error({ ...six, qts: 0.4 }).message).toContain('driver: no parameter "qts"; known are Re, Le, fs');
    expect(error({ ...six, name: 3 }).where).toBe("driver.name");
  });

  it("refuses what is too small for any driver, by name", () => {
    expect(error({ ...six, fs: 1e-200, Vas: 1e-300 }).message).toContain("driver.fs: fs 1e-200 Hz is less than any driver has; at least 0.1 Hz is expected");
    for (const name of ["Qms", "Vas", "Sd", "Re"] as const) expect(error({ ...six, [name]: 1e-300 }).where).toBe(`driver.${name}`);
    for (const name of ["", "  ", "x".repeat(500)]) expect(error({ ...six, name }).where).toBe("driver.name");
  });
});

describe("relations and comparisons", () => {
  it("solve nothing that is open", () => {
    expect(Object.keys(solveRelations({ fs: 50, Qts: 0.4 }, standardAir).values).sort()).toEqual(["Qts", "fs"]);
    expect(independentParameters(full)).toEqual(["Re", "Sd", "fs", "Qms", "Qes", "Vas"]);
  });
});

describe("freeAirImpedance", () => {
  it("is Re and the inductance far from resonance, Re (1 + Qms/Qes) at it", () => {
    const driver = deriveDriver({ ...pick("fs", "Qms", "Qes", "Vas", "Sd", "Re"), Le: 0.001 });
    const z = freeAirImpedance(driver, Float64Array.of(1e-6, full.fs, 1e6));
    expect(z.re[0]).toBeCloseTo(full.Re, 9);
    expect(z.re[1]).toBeCloseTo(full.Re * (1 + full.Qms / full.Qes), 9);
    expect(z.im[2]! / (2 * Math.PI * 1e3)).toBeCloseTo(1, 6);
    expect(() => freeAirImpedance(driver, Float64Array.of(0))).toThrow(InputError);
  });
});

function deriveAgain(given: GivenParameters): GivenParameters {
  const { name: _name, air: _air, given: _given, ...parameters } = deriveDriver(given);
  return parameters;
}
