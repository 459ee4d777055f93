import { randomNumbers } from "../../src/math/random.js";
import { clickValue } from "../../src/measure/timing-click.js";
import { type Recording, makeRecording } from "../../src/measure/recording.js";
import type { SweepShape } from "../../src/measure/sweep-phase.js";
import type { TestSignal } from "../../src/measure/test-signal.js";

/** One second-order section b0 + b1 z^-1 + b2 z^-2 over 1 + a1 z^-1 + a2 z^-2. */
export type Biquad = readonly [b0: number, b1: number, b2: number, a1: number, a2: number];

/** Source of the coefficients: R. Bristow-Johnson, Cookbook formulae for audio EQ biquad filter coefficients (W3C Audio EQ Cookbook, 2021). */
export function biquad(kind: "low" | "high" | "peak", { frequency, Q, rate, gainDb = 0 }: { frequency: number; Q: number; rate: number; gainDb?: number }): Biquad {
  const w = (2 * Math.PI * frequency) / rate, c = Math.cos(w), a = Math.sin(w) / (2 * Q), g = 10 ** (gainDb / 40);
  const [b0, b1, b2, a0, a1, a2] = kind === "low" ? [(1 - c) / 2, 1 - c, (1 - c) / 2, 1 + a, -2 * c, 1 - a]
    : kind === "high" ? [(1 + c) / 2, -1 - c, (1 + c) / 2, 1 + a, -2 * c, 1 - a]
    : [1 + a * g, -2 * c, 1 - a * g, 1 + a / g, -2 * c, 1 - a / g];
  return [b0! / a0!, b1! / a0!, b2! / a0!, a1! / a0!, a2! / a0!];
}

export function biquadResponse(chain: readonly Biquad[], frequency: number, rate: number): [number, number] {
  const w = (2 * Math.PI * frequency) / rate, c1 = Math.cos(w), s1 = -Math.sin(w), c2 = Math.cos(2 * w), s2 = -Math.sin(2 * w);
  let re = 1, im = 0;
  for (const [b0, b1, b2, a1, a2] of chain) {
    const nr = b0 + b1 * c1 + b2 * c2, ni = b1 * s1 + b2 * s2, dr = 1 + a1 * c1 + a2 * c2, di = a1 * s1 + a2 * s2, q = dr * dr + di * di;
    const r = (nr * dr + ni * di) / q, i = (ni * dr - nr * di) / q;
    [re, im] = [re * r - im * i, re * i + im * r];
  }
  return [re, im];
}

/** The played signal as the recorder's clock sees it, sample by sample: the formula of the sweep at drifted times, written again here. */
export function heardValue(signal: TestSignal, time: number): number {
  const shape = signal.sweep!, { starts, clickAt } = signal.layout, click = signal.recipe.click;
  let sum = 0;
  for (const start of starts) sum += farina(shape, time - start / signal.sampleRate);
  if (click !== null && clickAt !== undefined) sum += clickValue(click, time - clickAt / signal.sampleRate);
  return sum;
}

function farina({ start, stop, duration, fadeIn, fadeOut, level }: SweepShape, t: number): number {
  if (t < 0 || t >= duration) return 0;
  const R = duration / Math.log(stop / start);
  const rise = t < fadeIn ? Math.sin((Math.PI / 2) * (t / fadeIn)) ** 2 : 1, fall = duration - t < fadeOut ? Math.sin((Math.PI / 2) * ((duration - t) / fadeOut)) ** 2 : 1;
  return level * rise * fall * Math.sin(2 * Math.PI * start * R * (Math.exp(t / R) - 1));
}

export interface Playing {
  /** recorder over player less 1, in millionths */
  readonly ppm?: number;
  /** samples a second of the recorder, Hz */
  readonly rate?: number;
  /** s of recording before the file starts to play; negative when it starts late */
  readonly lead?: number;
  /** s of the whole recording */
  readonly seconds?: number;
  /** what the path does to a sample, in order: memoryless first, then filters */
  readonly bend?: (x: number) => number;
  readonly chain?: readonly Biquad[];
  /** taps: delay in samples (not whole) and height */
  readonly taps?: readonly (readonly [delay: number, height: number])[];
  /** RMS of white noise, full scale */
  readonly noise?: number;
  readonly seed?: number;
}

/** One channel of a recording of a signal. */
export function played(signal: TestSignal, { ppm = 0, rate = signal.sampleRate, lead = 0.7, seconds, bend, chain = [], taps = [[0, 1]], noise = 0, seed = 1 }: Playing = {}): Float32Array {
  const length = seconds ?? lead + signal.layout.total / signal.sampleRate + 0.5, count = Math.round(length * rate), out = new Float32Array(count);
  const random = randomNumbers(seed), states = chain.map(() => [0, 0]);
  const speed = 1 + ppm * 1e-6;
  const warm = Math.round(Math.max(0, Math.min(-lead, 1)) * rate); // a system that was already playing
  for (let n = -warm; n < count; n++) {
    let x = 0;
    for (const [delay, height] of taps) {
      const v = heardValue(signal, (n - delay) / rate / speed - lead);
      x += height * (bend === undefined ? v : bend(v));
    }
    chain.forEach(([b0, b1, b2, a1, a2], i) => {
      const s = states[i]!, y = b0 * x + s[0]!;
      s[0] = b1 * x - a1 * y + s[1]!;
      s[1] = b2 * x - a2 * y;
      x = y;
    });
    if (noise > 0) x += noise * Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform());
    if (n >= 0) out[n] = x;
  }
  return out;
}

export function recorded(channels: readonly Float32Array[], sampleRate: number, name = "take 1"): Recording {
  return makeRecording({ name, sampleRate, channels, notes: [] });
}
