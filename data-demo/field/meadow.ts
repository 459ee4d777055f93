import { filtered, impulseOf } from "./fourier.js";
import { playedSweep, playedCount, playedValue } from "./played-sweep.js";
import { demoDrive, microphoneDeviation, sum } from "./recording.js";
import { seededNoise } from "./seeded-noise.js";
import { product, type ComplexValues } from "./spectrum.js";
import { demoAir, type VanHornField } from "./van-horn.js";

/** The second session: a meadow, box and microphone on the ground, a house front behind. */
export const meadow = {
  /** mouth to microphone, m */
  distance: 2,
  /** extra way by the house front, m: 99 ms later */
  extraWay: 34,
  /** reflection factor of the front at low frequency; no unit */
  reflection: 0.9,
  /** frequency at which it has fallen by 3 dB, Hz */
  reflectionCorner: 700,
  /** from the start of the recording to the start of the played file, s */
  lead: 0.2137,
  /** after the end of the played file, s */
  tail: 0.25,
  /** recorder's clock over the player's, in millionths; no unit */
  drift: 40,
  /** samples a second of the recorder by its own clock, Hz */
  rate: 44100,
  /** recorded full scale per Pa, 1/Pa */
  sensitivity: 0.25,
  /** second and third harmonic of the amplifier and the driver together, before the box: part of the voltage at the sweep's level; no unit */
  second: 0.006,
  third: 0.003,
  /** wind, RMS (Pa) and corner (Hz) of white noise through one pole; all else, RMS (Pa), white */
  wind: 0.015,
  windCorner: 8,
  hiss: 0.0008,
} as const;

/** How the box was first built for this session: glue left out along the closed end, leak in Pa s/m^3 (in the drawing's build of the yard it is four times as tight). */
export const leftOut = { leak: 3e5 } as const;

/** Length of the impulse response, samples (1.5 s); of them so many lie before time zero. */
const impulseCount = 65536, impulseEarly = 4096;

/** Pressure per volume velocity on the meadow, Pa s/m^3, on frequencies in Hz: the way and the same by the house front. Source: point source on a rigid plane, textbook. */
export function meadowTransfer(frequencies: Float64Array): ComplexValues {
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length), near = meadow.distance, far = near + meadow.extraWay;
  frequencies.forEach((f, i) => {
    const omega = 2 * Math.PI * f, k = omega / demoAir.speed, scale = (omega * demoAir.density) / (2 * Math.PI);
    const direct = scale / near, wall = (scale / far) * meadow.reflection / Math.sqrt(1 + (f / meadow.reflectionCorner) ** 2);
    re[i] = direct * Math.sin(k * near) + wall * Math.sin(k * far);
    im[i] = direct * Math.cos(k * near) + wall * Math.cos(k * far);
  });
  return { re, im };
}

/** Recording of the sweep, full scale -1 to 1, no unit: amplifier, distortion, box, meadow, wind, microphone, the recorder's own clock. */
export function meadowRecording(field: VanHornField, { seed }: { readonly seed: number }): Float64Array {
  const own = meadow.rate * (1 + meadow.drift * 1e-6), count = Math.round((meadow.lead + playedCount() / playedSweep.sampleRate + meadow.tail) * own);
  // voltage: 2.83 V RMS as set for the sweep, with the amplifier's error, plus x^2 and x^3 whose harmonics are the stated parts at that level
  const peak = demoDrive.volts * demoDrive.gainError * Math.SQRT2, voltage = new Float64Array(count);
  for (let n = 0; n < count; n++) {
    const x = playedValue(n / own - meadow.lead) / playedSweep.level;
    voltage[n] = peak * (x + 2 * meadow.second * x * x + 4 * meadow.third * x * x * x);
  }
  const frequencies = Float64Array.from({ length: Math.floor((1600 / own) * impulseCount) }, (_, k) => (k * own) / impulseCount);
  const flow = field.flowPerVolt(frequencies), response = product(sum(flow.mouth, flow.leak), meadowTransfer(frequencies));
  frequencies.forEach((f, k) => {
    // the field is known up to 1600 Hz: a raised cosine from 1200 Hz on; nothing at 0 Hz
    const size = f === 0 ? 0 : meadow.sensitivity * 10 ** (microphoneDeviation(f) / 20) * (f < 1200 ? 1 : Math.cos((Math.PI / 2) * ((f - 1200) / 400)) ** 2);
    response.re[k]! *= size;
    response.im[k]! *= size;
  });
  const out = filtered(voltage, impulseOf(response, impulseCount), impulseEarly), noise = seededNoise(seed), pole = Math.exp((-2 * Math.PI * meadow.windCorner) / own);
  let wind = 0;
  for (let n = 0; n < count; n++) {
    wind = pole * wind + Math.sqrt(1 - pole * pole) * noise();
    out[n]! += meadow.sensitivity * (meadow.wind * wind + meadow.hiss * noise());
  }
  return out;
}

/** Recording of a level calibrator, full scale, no unit: 1 kHz, 94 dB, for `seconds` (s), with the recorder's clock, its noise and 0.2 % of second harmonic. */
export function calibratorRecording({ seed, seconds }: { readonly seed: number; readonly seconds: number }): Float64Array {
  const own = meadow.rate * (1 + meadow.drift * 1e-6), noise = seededNoise(seed), pressure = 2e-5 * 10 ** (94 / 20) * Math.SQRT2 * 10 ** (microphoneDeviation(1000) / 20);
  return Float64Array.from({ length: Math.round(seconds * own) }, (_, n) => {
    const angle = (2 * Math.PI * 1000 * n) / own + 0.7;
    return meadow.sensitivity * (pressure * (Math.sin(angle) + 0.002 * Math.sin(2 * angle)) + meadow.hiss * noise());
  });
}
