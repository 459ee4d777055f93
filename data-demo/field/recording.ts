import { seededNoise } from "./seeded-noise.js";
import { product, type ComplexValues } from "./spectrum.js";
import { demoAir } from "./van-horn.js";

/** Seed of all noise in the demo files; no unit. */
export const demoSeed = 71905;

/** Drive as set on the amplifier (V RMS) and what it really gave over that (no unit). */
export const demoDrive = { volts: 2.83, gainError: 1.012 } as const;

/** The yard: mouth and microphone on hard ground, a barn wall behind. Distances m, delay s. */
export const yard = {
  /** mouth to microphone, m */
  distance: 1.0,
  /** extra way by the barn wall, m */
  extraWay: 6.5,
  /** reflection factor of the wall at low frequency; no unit */
  reflection: 0.35,
  /** frequency at which it has fallen by 3 dB, Hz */
  reflectionCorner: 700,
  /** delay of the recorder, s */
  delay: 0.0016,
} as const;

/** Deviation of the microphone from flat, dB, at f in Hz; smooth, invented. */
export function microphoneDeviation(f: number): number {
  const hump = (centre: number, width: number): number => Math.exp(-((Math.log2(f / centre) / width) ** 2));
  return -10 * Math.log10(1 + (7.6 / f) ** 2) + 0.6 * hump(210, 1.1) - 0.45 * hump(36, 0.7);
}

/** Drift of the recorder's level during a sweep, dB, at f in Hz; invented. */
export function recorderDrift(f: number): number {
  const part = Math.log2(f / 16) / Math.log2(500 / 16);
  return 0.25 * part + 0.08 * Math.sin(2 * Math.PI * 1.3 * part);
}

/** Rising frequencies in equal steps of an octave, Hz, rounded to 0.001 Hz. */
export function octaveSteps(range: { from: number; to: number; perOctave: number }): Float64Array {
  const count = Math.floor(Math.log2(range.to / range.from) * range.perOctave + 1e-9) + 1;
  return Float64Array.from({ length: count }, (_, i) => Math.round(range.from * 2 ** (i / range.perOctave) * 1000) / 1000);
}

/** Complex factors from a function of frequency (Hz) that gives [re, im]. */
function factors(frequencies: Float64Array, at: (f: number) => readonly [number, number]): ComplexValues {
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  for (let i = 0; i < frequencies.length; i++) [re[i], im[i]] = at(frequencies[i]!) as [number, number];
  return { re, im };
}

/** Sum of two lists, point by point; unit of the values. */
export function sum(a: ComplexValues, b: ComplexValues): ComplexValues {
  return { re: a.re.map((value, i) => value + b.re[i]!), im: a.im.map((value, i) => value + b.im[i]!) };
}

/** Pressure per volume velocity in the yard, Pa s/m^3: j omega density e^{-jkr}/(2 pi r), and the same by the barn wall times its reflection factor. Source: point source on a rigid plane, textbook. */
export function yardTransfer(frequencies: Float64Array): ComplexValues {
  return factors(frequencies, (f) => {
    const omega = 2 * Math.PI * f, k = omega / demoAir.speed, far = yard.distance + yard.extraWay;
    const direct = omega * demoAir.density / (2 * Math.PI * yard.distance);
    const wall = omega * demoAir.density / (2 * Math.PI * far) * yard.reflection / Math.sqrt(1 + (f / yard.reflectionCorner) ** 2);
    // j e^{-jx} = sin x + j cos x
    return [direct * Math.sin(k * yard.distance) + wall * Math.sin(k * far), direct * Math.cos(k * yard.distance) + wall * Math.cos(k * far)];
  });
}

/** Pressure per volume velocity of a mouth (area m^2) at `distance` m before it, Pa s/m^3: on the axis of a circular piston in a wall, exact: density c (e^{-jkz} - e^{-jk sqrt(z^2 + a^2)})/area. Source: on-axis piston formula, textbook. */
export function nearTransfer(frequencies: Float64Array, options: { area: number; distance: number }): ComplexValues {
  const edge = Math.hypot(options.distance, Math.sqrt(options.area / Math.PI)), scale = demoAir.density * demoAir.speed / options.area;
  return factors(frequencies, (f) => {
    const k = 2 * Math.PI * f / demoAir.speed;
    return [scale * (Math.cos(k * options.distance) - Math.cos(k * edge)), scale * (Math.sin(k * edge) - Math.sin(k * options.distance))];
  });
}

/** How one sweep was recorded. */
export interface RecordingOptions {
  /** number that is added to the seed, so that every file has its own noise; no unit */
  readonly stream: number;
  /** level of the background noise per point at 50 Hz, dB */
  readonly noiseLevel: number;
  /** how much that falls per octave, held beyond two octaves from 50 Hz, dB */
  readonly noiseFall: number;
  /** delay of the recorder, s */
  readonly delay: number;
  /** with the recorder's drift; no unit */
  readonly drift: boolean;
}

/** What the recorder wrote for a true pressure (Pa per volt of drive): drive with its error, background noise, microphone, drift, delay, 0.05 dB of reading jitter; Pa. */
export function recorded(pressurePerVolt: ComplexValues, frequencies: Float64Array, options: RecordingOptions): ComplexValues {
  const noise = seededNoise(demoSeed + options.stream), volts = demoDrive.volts * demoDrive.gainError;
  const noisy = { re: new Float64Array(frequencies.length), im: new Float64Array(frequencies.length) };
  const chain = factors(frequencies, (f) => {
    const size = 10 ** ((microphoneDeviation(f) + (options.drift ? recorderDrift(f) : 0) + 0.05 * noise()) / 20), turn = 2 * Math.PI * f * options.delay;
    return [size * Math.cos(turn), -size * Math.sin(turn)];
  });
  for (let i = 0; i < frequencies.length; i++) {
    const octaves = Math.max(-2, Math.min(2, Math.log2(frequencies[i]! / 50)));
    const rms = 2e-5 * 10 ** ((options.noiseLevel - options.noiseFall * octaves) / 20) / Math.SQRT2;
    noisy.re[i] = pressurePerVolt.re[i]! * volts + rms * noise();
    noisy.im[i] = pressurePerVolt.im[i]! * volts + rms * noise();
  }
  return product(noisy, chain);
}
