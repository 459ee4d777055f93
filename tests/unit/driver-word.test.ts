import { inspect } from "node:util";
import { describe, expect, it } from "vitest";
import { driver } from "../../kernel-helpers/words/driver.js";
import type { DriverOptions } from "../../kernel-helpers/words/driver.js";
import type { Table } from "../../kernel-helpers/show/view.js";
import { InputError } from "../../src/errors.js";

// invented
const sheet: DriverOptions = {
  name: "invented <b>six</b> inch",
  Re: "3.4 Ω",
  Le: "0,6 mH",
  fs: "58 Hz",
  Qms: 4.1,
  Qes: "0,42",
  Vas: "7.9 L",
  Sd: "88 cm²",
  Xmax: "6 mm",
  power: "60 W",
};
const message = (options: unknown): string => {
  try {
    driver(options as DriverOptions);
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  throw new Error("nothing was thrown");
};
const tableOf = (options: DriverOptions): Table => driver(options).views()[0] as Table;
const row = (table: Table, parameter: string): readonly string[] => table.rows.find((one) => one[0] === parameter)!;

describe("driver", () => {
  it("reads units and derives the rest", () => {
    const it = driver(sheet);
    expect(it).toMatchObject({ Re: 3.4, Le: 0.0006, fs: 58, Qms: 4.1, Qes: 0.42, Vas: 0.0079, Sd: 0.0088, Xmax: 0.006, ratedPower: 60, nominalImpedance: undefined });
    // evaluated by hand from Small 1972: Vas/(1.2041 343.2^2 Sd^2), 1/(4.1^-1 + 0.42^-1)
    expect(it.Cms).toBeCloseTo(0.0079 / (1.2041 * 343.2 ** 2 * 0.0088 ** 2), 12);
    expect(it.Qts).toBeCloseTo(0.380973, 6);
    expect(it.given).toEqual(["Re", "Le", "fs", "Qms", "Qes", "Vas", "Sd", "Xmax", "ratedPower"]);
    expect(Object.isFrozen(it)).toBe(true);
  });

  it("gives the same for texts and SI numbers", () => {
    const numbers = driver({ name: sheet.name, Re: 3.4, Le: 0.0006, fs: 58, Qms: 4.1, Qes: 0.42, Vas: 0.0079, Sd: 0.0088, Xmax: 0.006, power: 60 });
    expect(JSON.stringify(numbers)).toBe(JSON.stringify(driver(sheet)));
  });

  it("shows given and derived apart", () => {
    const table = tableOf(sheet);
    expect(table.columns).toEqual(["parameter", "meaning", "given", "derived"]);
    expect(table.title).toBe("invented <b>six</b> inch: parameters given and derived");
    expect(row(table, "Vas")).toEqual(["Vas", "volume of air as stiff as the suspension", "7.9 L", ""]);
    expect(row(table, "Sd")[2]).toBe("88 cm²");
    expect(row(table, "Mms").slice(2)).toEqual(["", "10.5 g"]);
    expect(row(table, "Bl").slice(2)).toEqual(["", "5.56 T m"]);
    expect(row(table, "Xmax").slice(2)).toEqual(["6 mm", ""]);
    expect(row(table, "impedance").slice(2)).toEqual(["", "not known"]);
    expect(row(table, "level")[3]).toMatch(/^8\d(\.\d)? dB re 20 uPa$/);
    expect(table.rows.length).toBe(17);
    expect(table.notes).toEqual([]);
    expect(row(tableOf({ ...sheet, Le: undefined }), "Le").slice(2)).toEqual(["", "taken as 0"]);
    expect(row(tableOf({ ...sheet, Le: 0 }), "Le").slice(2)).toEqual(["0 H", ""]);
  });

  it("shows what was replaced, and says so", () => {
    const table = tableOf({ ...sheet, Qts: 0.385 });
    expect(row(table, "Qts").slice(2)).toEqual(["0.385", "0.381"]);
    expect(table.notes!.map((note) => note.text)).toEqual(["Qts 0.385 was given, 0.381 follows from the other parameters and is used (1.1 % apart)."]);
  });

  it("prints one compact line and lists no view", () => {
    const it = driver(sheet);
    expect(inspect(it)).toMatch(/^driver "invented <b>six<\/b> inch": Re 3\.4 ohm, Le 0\.6 mH, fs 58 Hz, Qms 4\.1, .*Vas 7\.9 L, Sd 88 cm\^2, .*Xmax 6 mm, power 60 W$/);
    expect(Object.keys(it)).not.toContain("views");
  });

  it("names fields as they are written in the notebook", () => {
    expect(message({ ...sheet, Vas: "7.9 cm" })).toBe('driver.Vas: "7.9 cm" is a length; a volume is expected, such as "7.9 L".');
    expect(message({ ...sheet, power: "60 V" })).toBe('driver.power: "60 V" is a voltage; a power is expected, such as "60 W".');
    expect(message({ ...sheet, vas: 1 })).toBe('driver: no option "vas"; did you mean "Vas"?');
    expect(message({ ...sheet, ratedPower: 1 })).toContain('driver: no option "ratedPower"');
    expect(message({ ...sheet, Qts: "0.50", Qms: undefined })).toContain("Qts 0.50 is not below Qes 0,42");
    expect(message({ ...sheet, Qts: "0.50" })).toBe("driver: Qts 0.50 disagrees by 31 % with 0.381 from Qms 4.1 and Qes 0,42; leave one of the three out.");
    expect(message({ ...sheet, Mms: "13 g" })).toMatch(/^driver: fs 58 Hz disagrees by 11 % with 52 Hz from Sd 88 cm², Vas 7\.9 L and Mms 13 g; leave one of the four out\.$/);
    expect(message({ ...sheet, Re: undefined })).toContain("driver: Sd, fs, Qms, Qes and Vas leave Re and Bl open; one more parameter is expected: Re or Bl.");
    expect(message({ ...sheet, power: 0 })).toContain("driver.power: 0 is not above zero; a power above zero is expected.");
    expect(message({ ...sheet, power: "200 kW" })).toBe("driver.power: power 200 kW is more than any driver has; at most 100000 W is expected.");
    expect(message({ ...sheet, Le: "-1 mH" })).toBe("driver.Le: Le -1 mH is not above zero; a positive value in H is expected.");
    expect(message({ ...sheet, Xmax: 6 })).toBe("driver.Xmax: Xmax 6 m is more than any driver has; at most 1 m is expected. perhaps \"6 mm\" was meant.");
    expect(message(undefined)).toContain("options in braces are expected");
    expect(message({ ...sheet, name: 3 })).toContain("driver.name: 3; a name in quotes is expected");
  });

  it("takes another air and another tolerance", () => {
    const air = { density: 1.1, soundSpeed: 350, viscosity: 1.8e-5, prandtl: 0.71, heatRatio: 1.4 };
    const it = driver({ ...sheet, air });
    expect(it.air).toEqual({ density: 1.1, soundSpeed: 350 });
    expect(it.Cms).toBeCloseTo(0.0079 / (1.1 * 350 ** 2 * 0.0088 ** 2), 12);
    expect(message({ ...sheet, air: { ...air, density: "1.1" } })).toContain('driver.air.density: in "1.1" a unit is missing');
    expect(message({ ...sheet, air: { ...air, densty: 1 } })).toContain('driver.air: no option "densty"; did you mean "density"?');
    expect(driver({ ...sheet, Mms: "11 g", tolerance: "5 %" }).Mms).toBeCloseTo(0.01048, 4);
    expect(message({ ...sheet, tolerance: -1 })).toContain("driver.tolerance: -1");
  });
});
