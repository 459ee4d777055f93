import { coilImpedance, type VoiceCoil } from "../../src/driver/voice-coil.js";
import type { Driver } from "../../src/driver/parameters.js";
import { type Curve, makeCurve } from "../../src/math/curve.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import type { RandomNumbers } from "../../src/math/random.js";

/** What changes from free air, for `impedanceOf`. */
export interface SampleState {
  /** kg, on the cone */
  readonly mass?: number;
  /** m^3, closed, behind the cone */
  readonly volume?: number;
  /** mechanical resistance over Rms, no unit */
  readonly loss?: number;
}

/** Impedance of a driver from its physical parameters (Small 1972), written with masses and stiffnesses; apart from what the fits use. */
export function impedanceOf(driver: Driver, frequencies: Float64Array, state: SampleState = {}): Curve {
  const { mass = 0, volume, loss = 1 } = state, { density, soundSpeed } = driver.air;
  const stiffness = 1 / driver.Cms + (volume === undefined ? 0 : (density * soundSpeed ** 2 * driver.Sd ** 2) / volume);
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length), coil = new Float64Array(2);
  frequencies.forEach((f, i) => {
    const omega = 2 * Math.PI * f, r = driver.Rms * loss, x = omega * (driver.Mms + mass) - stiffness / omega, q = r * r + x * x;
    coilImpedance(driver, omega, coil);
    re[i] = coil[0]! + (driver.Bl ** 2 * r) / q;
    im[i] = coil[1]! - (driver.Bl ** 2 * x) / q;
  });
  return makeCurve({ name: driver.name, quantity: "electrical impedance", unit: "ohm", frequencies, re, im, phaseKnown: true });
}

/** The curve with normal errors on real and imaginary part, each `relative` of the magnitude. */
export function withNoise(curve: Curve, relative: number, random: RandomNumbers): Curve {
  const re = curve.re.slice(), im = curve.im.slice();
  for (let i = 0; i < re.length; i++) {
    const size = relative * Math.hypot(curve.re[i]!, curve.im[i]!);
    re[i]! += size * normalQuantile(random.uniform());
    im[i]! += size * normalQuantile(random.uniform());
  }
  return makeCurve({ ...curve, re, im });
}

/** The magnitude alone. */
export function magnitudeOnly(curve: Curve): Curve {
  return makeCurve({ ...curve, re: curve.re.map((r, i) => Math.hypot(r, curve.im[i]!)), im: new Float64Array(curve.im.length), phaseKnown: false });
}

/** A driver with another coil. */
export function withCoil(driver: Driver, Le: number, coil?: VoiceCoil): Driver {
  return { ...driver, Le, ...(coil === undefined ? {} : { coil }) };
}
