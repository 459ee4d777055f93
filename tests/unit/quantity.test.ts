import { createRequire } from "node:module";
import { describe, expect, it } from "vitest";
import { formatNumber, formatQuantity, isQuantityOf, toPositiveSI, toSI } from "../../kernel-helpers/quantity.js";
import type { Dimension } from "../../kernel-helpers/quantity.js";
import { dimensionRows } from "../../kernel-helpers/quantity-dimensions.js";
import { InputError } from "../../src/errors.js";

const loaded = (): boolean => Object.keys(createRequire(import.meta.url).cache).some((file) => /[\\/]mathjs[\\/]/.test(file));
const loadedByImport = loaded();

const message = (run: () => unknown): string => {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  throw new Error("nothing was thrown");
};
const refused = (value: unknown, dimension: Dimension = "volume"): string => message(() => toSI(value as string, dimension, "driver.Vas"));

describe("toSI", () => {
  it("loads the unit library at the first text with a unit, not on import and not for numbers", () => {
    expect(loadedByImport).toBe(false);
    toSI(3, "length", "x");
    toSI("3", "none", "x");
    expect(loaded()).toBe(false);
    toSI("3 m", "length", "x");
    expect(loaded()).toBe(true);
  });

  it.each<[string, Dimension, number]>([
    ["12 L", "volume", 0.012],
    ["7,9 L", "volume", 0.0079],
    ["7.9 litres", "volume", 0.0079],
    ["85 cm^2", "area", 0.0085],
    ["85 cm²", "area", 0.0085],
    ["8500 mm2".replace("2", "²"), "area", 0.0085],
    ["250 cm³", "volume", 0.00025],
    ["6 mm", "length", 0.006],
    ["6mm", "length", 0.006],
    ["  6   mm ", "length", 0.006],
    ["6\u00a0mm", "length", 0.006],
    ["12 in", "length", 0.3048],
    ["0.6 mH", "inductance", 0.0006],
    ["3.4 ohm", "resistance", 3.4],
    ["3,4 Ω", "resistance", 3.4],
    ["1.2 kΩ", "resistance", 1200],
    ["58 Hz", "frequency", 58],
    ["1.2 kHz", "frequency", 1200],
    ["60 W", "power", 60],
    ["60 watts", "power", 60],
    ["60 Watts", "power", 60],
    ["60 w", "power", 60],
    ["12 volts", "voltage", 12],
    ["12 Volts", "voltage", 12],
    ["4 ohms", "resistance", 4],
    ["4 Ohms", "resistance", 4],
    ["8 liters", "volume", 0.008],
    ["8 Litres", "volume", 0.008],
    ["88 cm2", "area", 0.0088],
    ["88cm2", "area", 0.0088],
    ["250 cm3", "volume", 0.00025],
    ["0.02 m3", "volume", 0.02],
    ["2 ft3", "volume", 2 * 0.3048 ** 3],
    ["14 in2", "area", 14 * 0.0254 ** 2],
    ["1.2 kg/m3", "density", 1.2],
    ["45 kg/m4", "acoustic mass", 45],
    ["90 dB SPL", "decibel", 90],
    ["90 dBSPL", "decibel", 90],
    ["90 dB(SPL)", "decibel", 90],
    ["6.3 T m", "force factor", 6.3],
    ["6.3 Tm", "force factor", 6.3],
    ["6.3 T·m", "force factor", 6.3],
    ["6.3 N/A", "force factor", 6.3],
    ["6.3 Wb/m", "force factor", 6.3],
    ["0.6 mm/N", "compliance", 0.0006],
    ["600 µm/N", "compliance", 0.0006],
    ["1.1 kg/s", "mechanical resistance", 1.1],
    ["1.1 N s/m", "mechanical resistance", 1.1],
    ["1.1 Ns/m", "mechanical resistance", 1.1],
    ["2.83 V", "voltage", 2.83],
    ["20 g", "mass", 0.02],
    ["1.2e6 Pa s/m^3", "acoustic resistance", 1.2e6],
    ["1.2e6 Pa·s·m⁻³", "acoustic resistance", 1.2e6],
    ["45 kg/m^4", "acoustic mass", 45],
    ["5000 Pa s/m²", "flow resistivity", 5000],
    ["20 uPa", "pressure", 20e-6],
    ["1.2041 kg/m^3", "density", 1.2041],
    ["343.2 m/s", "speed", 343.2],
    ["1.813e-5 Pa s", "viscosity", 1.813e-5],
    ["5 ms", "time", 0.005],
    ["180 deg", "angle", Math.PI],
    ["6.25 sr", "solid angle", 6.25],
    ["-3 dB", "decibel", -3],
    ["−3,5 dB", "decibel", -3.5],
    ["0.7", "none", 0.7],
    ["0,7", "none", 0.7],
    ["35 %", "none", 0.35],
    [".5 m", "length", 0.5],
    ["1e-3 m", "length", 0.001],
    ["0,125 m", "length", 0.125],
    ["-2 mm", "length", -0.002],
  ])("%s is a %s of %d", (text, dimension, value) => {
    const got = toSI(text, dimension, "x");
    // unit factors are exact to rounding: a few units in the last place
    expect(Math.abs(got - value)).toBeLessThanOrEqual(4e-16 * Math.abs(value));
  });

  it("gives the same number for a text and its SI number", () => {
    for (let tenths = 1; tenths < 2000; tenths++) {
      expect(toSI(`${tenths / 10} L`, "volume", "x")).toBe(Number(`${tenths}e-4`));
      expect(toSI(`${tenths / 10} mm`, "length", "x")).toBe(Number(`${tenths}e-4`));
    }
  });

  it("names the field, what came, what it is and what is expected", () => {
    expect(refused("7.9 cm")).toBe('driver.Vas: "7.9 cm" is a length; a volume is expected, such as "7.9 L".');
    expect(refused("7,9 cm²")).toBe('driver.Vas: "7,9 cm²" is an area; a volume is expected, such as "7.9 L".');
    expect(refused("12")).toBe('driver.Vas: in "12" a unit is missing; a volume is expected, such as "12 L".');
    expect(refused("3 N", "force factor")).toContain("is a force; a force factor is expected");
    expect(refused("3 rad/s", "frequency")).toContain("is an angular frequency; a frequency");
    expect(refused("3 dB")).toContain("is a value in decibels; a volume");
    expect(refused("3 m", "decibel")).toContain('is a length; a value in decibels is expected, such as "3 dB"');
    expect(refused("3 m", "none")).toContain("is a length; a number without unit is expected, such as 3");
    expect(refused("3 %")).toContain("is a number without unit; a volume");
    expect(refused("3 Tm", "length")).toContain("is a force factor");
    expect(refused("3 mol")).toContain("is a quantity of another kind");
    expect(refused("3 bits")).toContain("the unit of \"3 bits\" is not known");
  });

  it("refuses units it does not know or that mean two things", () => {
    expect(refused("3 furlong-ish")).toContain('driver.Vas: "3 furlong-ish" is not one number with one unit');
    expect(refused("3 blorp")).toContain("is not known");
    expect(refused("3 constructor")).toContain("is not known");
    expect(refused("3 __proto__")).toContain("is not one number");
    expect(refused("20 gr", "mass")).toContain("is not known");
  });

  it("refuses numbers that are not finite, empty texts and other things", () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) expect(refused(value)).toContain("is not a finite number");
    for (const value of ["", "   ", "\t"]) expect(refused(value)).toContain("an empty text came");
    expect(refused("1e400 L")).toContain("is too large");
    expect(refused("1e308 km", "length")).toContain("is too large");
    for (const value of [null, undefined, true, [1], {}, 3n]) expect(refused(value)).toContain("came; a volume is expected");
  });

  it("calculates nothing", () => {
    for (const value of ["2*3 L", "2 L + 3 L", "2+3 L", "1/2 L", "(2) L", "2 L * 3", "2 3 L", "1 200 L", "1,200,000 L", "1.2.3 L", "2^3 L", "2 L; 3 L", "0x10 L", "sqrt(2) L"]) {
      expect(refused(value)).toMatch(/is not one number with one unit|does not start with a number/);
    }
    for (const value of ["Infinity L", "NaN L", "L", "about 3 L"]) expect(refused(value)).toContain("does not start with a number");
  });

  it("takes no digit for a power but 2, 3 and 4 right behind a letter", () => {
    for (const text of ["2 L5", "2 cm22", "2 cm 2", "2 cm2 2", "2 2cm"]) expect(refused(text), text).toMatch(/is not one number with one unit/);
    expect(refused("2 cm2", "volume")).toContain("is an area; a volume is expected");
  });

  it("tells a power from a voltage by its unit, whatever its spelling", () => {
    for (const text of ["60 W", "60 watts", "60W", "1e2 mW", "60 W +- 10 %", "60 +- 5 W"]) expect(isQuantityOf(text, "power"), text).toBe(true);
    for (const text of ["60 V", "60", "", "W", "60 wattage", "x".repeat(99)]) expect(isQuantityOf(text, "power"), text).toBe(false);
  });

  it("does not guess what one comma before three digits means", () => {
    expect(refused("1,200 Hz", "frequency")).toBe(
      'driver.Vas: "1,200 Hz" may mean 1.2 or 1200; a frequency is expected, such as "1.200 Hz". Write a decimal point, and no sign between thousands.',
    );
  });

  it("refuses long texts", () => {
    expect(toSI(`1${" ".repeat(57)}L`, "volume", "x")).toBe(0.001);
    expect(refused(`1${" ".repeat(60)}L`)).toContain("a text of 62 characters came");
  });

  it("has an example in every error text that it reads itself", () => {
    for (const [dimension, row] of Object.entries(dimensionRows)) {
      expect(toSI(`2 ${row.exampleUnit}`, dimension as Dimension, "x")).toBeGreaterThan(0);
    }
  });
});

describe("toPositiveSI", () => {
  it("accepts what is above zero only", () => {
    expect(toPositiveSI("2 mm", "length", "x")).toBe(0.002);
    expect(message(() => toPositiveSI(0, "length", "box.width"))).toBe("box.width: 0 is not above zero; a length above zero is expected.");
    expect(message(() => toPositiveSI("-2 mm", "length", "box.width"))).toContain('"-2 mm" is not above zero');
    expect(message(() => toPositiveSI("2 L", "length", "box.width"))).toContain("is a volume");
  });
});

describe("formatQuantity", () => {
  it.each<[number, string, string]>([
    [0.0079, "m^3", "7.9 L"],
    [0.25, "m^3", "250 L"],
    [1.5, "m^3", "1.5 m^3"],
    [0.0005, "m^3", "500 cm^3"],
    [0.0088, "m^2", "88 cm^2"],
    [0.12, "m^2", "1200 cm^2"],
    [0.006, "m", "6 mm"],
    [2.314, "m", "2.31 m"],
    [0.0006, "H", "0.6 mH"],
    [0.00005, "H", "50 uH"],
    [0.013, "kg", "13 g"],
    [0.0006, "m/N", "0.6 mm/N"],
    [58.04, "Hz", "58 Hz"],
    [1234, "Hz", "1.23 kHz"],
    [999.9, "Hz", "1 kHz"],
    [3.4, "ohm", "3.4 ohm"],
    [6.3, "T m", "6.3 T m"],
    [1.1, "N s/m", "1.1 N s/m"],
    [1234567, "Pa s/m^3", "1230000 Pa s/m^3"],
    [0.381, "", "0.381"],
    [0, "m", "0 m"],
    [-0.002, "m", "-2 mm"],
    [Number.NaN, "m", "-"],
  ])("%d %s reads %s", (value, unit, text) => {
    expect(formatQuantity(value, unit)).toBe(text);
  });

  it("takes the number of digits and can be read back", () => {
    expect(formatQuantity(0.0078954, "m^3", 4)).toBe("7.895 L");
    const units: [string, Dimension][] = [["m", "length"], ["m^2", "area"], ["m^3", "volume"], ["kg", "mass"], ["s", "time"], ["ohm", "resistance"], ["H", "inductance"], ["m/N", "compliance"], ["W", "power"], ["V", "voltage"], ["Hz", "frequency"], ["Pa", "pressure"]];
    for (const [unit, dimension] of units) {
      for (let power = -6; power <= 5; power++) {
        const value = 2.5 * 10 ** power;
        const text = formatQuantity(value, unit);
        expect(text).not.toMatch(/\de/);
        expect(Math.abs(toSI(text, dimension, unit) / value - 1)).toBeLessThan(1e-12);
      }
    }
    expect(formatNumber(-1e-12)).toBe("-1e-12");
    expect(formatNumber(-0)).toBe("0");
  });
});
