import { describe, expect, test } from "vitest";
import { balancedTemperature, hotDriver, powerCompression, resistanceRatio, temperatureFromResistance } from "../../src/driver/heat.js";
import { driverA } from "../support/drivers.js";
import { expectClose } from "../support/close.js";

const source = "copper 0.00393 per K at 20 degrees, IEC 60028; computed from it";

describe("warm voice coil", () => {
  test.each([[50, 1.1965], [100, 1.393], [150, 1.5895], [200, 1.786]])("%f K above 20 degrees", (rise, ratio) => {
    expectClose(resistanceRatio({ coilTemperature: 20 + rise }), ratio, 1e-12, source);
  });

  test("level at constant voltage falls with 1 / Re", () => {
    expectClose(powerCompression({ coilTemperature: 120 }), -2.87902, 1e-5, source);
    expectClose(powerCompression({ coilTemperature: 220 }), -5.03763, 1e-5, source);
    expect(powerCompression({ coilTemperature: 20 })).toBe(-0);
  });

  test("driver A at 120 degrees: Re, Qes and Qts, nothing else", () => {
    const hot = hotDriver(driverA, { coilTemperature: 120 });
    expectClose(hot.Re, 7.8008, 1e-12, source);
    expectClose(hot.Qes, 0.789586, 1e-6, source);
    expectClose(hot.Qts, 0.699405, 1e-6, source);
    expectClose(hot.Qes, (2 * Math.PI * hot.fs * hot.Mms * hot.Re) / hot.Bl ** 2, 1e-12, "Small 1972");
    expect({ ...hot, Re: 0, Qes: 0, Qts: 0 }).toEqual({ ...driverA, Re: 0, Qes: 0, Qts: 0 });
  });

  test("temperature from two resistances, and back", () => {
    expectClose(temperatureFromResistance({ cold: 5.6, warm: 7 }), 83.6132, 1e-6, source);
    for (const metal of ["copper", "aluminium"] as const) {
      const state = { coilTemperature: 147, reference: 27, metal };
      expectClose(temperatureFromResistance({ cold: 4, warm: 4 * resistanceRatio(state) }, { reference: 27, metal }), 147, 1e-12, "inverse");
    }
    expectClose(resistanceRatio({ coilTemperature: 120, metal: "aluminium" }), 1.39, 1e-12, "aluminium 0.0039 per K at 20 degrees, from memory");
  });

  test("the temperature of balance takes as much heat away as the warm coil draws", () => {
    for (const [power, thermalResistance, ambient] of [[100, 1.5, 20], [30, 4, 45], [400, 0.9, -10], [0, 2, 20]] as const) {
      const t = balancedTemperature({ power, thermalResistance, ambient, reference: 25 });
      expectClose((t - ambient) / Math.max(thermalResistance, 1e-9), power / resistanceRatio({ coilTemperature: t, reference: 25 }), 1e-9, "balance of heat, elementary", 1e-12);
    }
  });

  test("refuses temperatures and metals that no coil has", () => {
    expect(() => hotDriver(driverA, { coilTemperature: 2000 })).toThrow(/heat\.coilTemperature: 2000 degrees/);
    expect(() => hotDriver(driverA, { coilTemperature: NaN })).toThrow(/heat\.coilTemperature/);
    expect(() => hotDriver(driverA, { coilTemperature: 50, metal: "silver" as never })).toThrow(/heat\.metal/);
    expect(() => balancedTemperature({ power: -1, thermalResistance: 1 })).toThrow(/zero or positive/);
    expect(() => temperatureFromResistance({ cold: 0, warm: 1 })).toThrow(/positive resistances/);
  });
});
