import type { ConeDriver } from "./moving-cone.js";
import { seededNoise } from "./seeded-noise.js";
import type { ComplexValues } from "./spectrum.js";
import { tableText } from "./tables.js";

/** Impedance of a driver in free air, ohm, on frequencies in Hz, with a mass (kg) on its cone. Source: equivalent circuit, textbook (Small 1972); coil: Le in series with L2 parallel to R2. */
export function driverImpedance(driver: ConeDriver, frequencies: Float64Array, options: { readonly addedMass?: number } = {}): ComplexValues {
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length), mass = driver.Mms + (options.addedMass ?? 0);
  frequencies.forEach((f, i) => {
    const omega = 2 * Math.PI * f, x = omega * mass - 1 / (omega * driver.Cms), size = driver.Bl ** 2 / (driver.Rms ** 2 + x * x);
    const eddy = (omega * driver.L2) / driver.R2, part = (omega * driver.L2) / (1 + eddy * eddy);
    re[i] = driver.Re + size * driver.Rms + part * eddy;
    im[i] = omega * driver.Le - size * x + part;
  });
  return { re, im };
}

/** An impedance sweep as a text file: 0.03 ohm of lead, 0.4 % and 0.2 degrees of jitter (standard deviation). */
export function impedanceText(z: ComplexValues, frequencies: Float64Array, { comments, seed }: { readonly comments: readonly string[]; readonly seed: number }): string {
  const jitter = seededNoise(seed), lead = 0.03, size = new Float64Array(z.re.length), angle = new Float64Array(z.re.length);
  z.re.forEach((re, i) => {
    size[i] = Math.hypot(re + lead, z.im[i]!) * (1 + 0.004 * jitter());
    angle[i] = (Math.atan2(z.im[i]!, re + lead) * 180) / Math.PI + 0.2 * jitter();
  });
  return tableText({ comments, header: ["frequency (Hz)", "impedance (ohm)", "phase (degrees)"], columns: [frequencies, size, angle], decimals: [3, 4, 2] });
}
