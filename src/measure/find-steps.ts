import { InputError } from "../errors.js";
import type { TestSignal } from "./test-signal.js";

/** Most steps that are looked at, spread over all. */
const mostSteps = 24;

/** s of room to each side of where the file can lie. */
const room = 2;

/**
 * Place in s (may be negative) at which the file of stepped sines starts in a channel: where the steps together hold most of their sines. Yields the share done.
 *
 * @throws InputError  when the recording is shorter than a step
 * @remarks To about 2 ms or a sixteenth of the shortest step; a step counts by its share of its own largest value, so weak ones count alike.
 *
 * Source: derived here (matched filter without phase, one for each step).
 */
export function* findSteps(channel: Float32Array, signal: TestSignal, sampleRate: number): Generator<number, number> {
  const { starts, total } = signal.layout, steps = signal.steps!, rate = signal.sampleRate;
  const shortest = steps.reduce((least, { start, end }) => Math.min(least, (end - start) / rate), Infinity);
  const hop = Math.max(1, Math.round(Math.min(0.002, shortest / 16) * sampleRate));
  const spare = channel.length / sampleRate - total / rate, low = Math.min(0, spare) - room, high = Math.max(0, spare) + room;
  const places = Math.ceil(((high - low) * sampleRate) / hop), score = new Float64Array(places);
  const few = Math.min(mostSteps, steps.length);
  for (let i = 0; i < few; i++) {
    const step = steps[Math.floor(((i + 0.5) * steps.length) / few)]!, span = Math.max(1, Math.round((((step.end - step.start) / rate) * sampleRate) / hop));
    const height = new Float64Array(places), turn = (2 * Math.PI * step.frequency) / sampleRate;
    let top = 0;
    for (const first of starts) {
      const begin = Math.round((low + (first + step.start) / rate) * sampleRate), re = new Float64Array(places + span + 1), im = new Float64Array(places + span + 1);
      for (let h = 0; h < places + span; h++) {
        const from = begin + h * hop, a = Math.max(0, from), b = Math.min(channel.length, from + hop), stepRe = Math.cos(turn), stepIm = -Math.sin(turn);
        let c = Math.cos(turn * a), s = -Math.sin(turn * a), sumRe = 0, sumIm = 0;
        for (let n = a; n < b; n++) {
          const x = channel[n]!;
          sumRe += x * c;
          sumIm += x * s;
          const next = c * stepRe - s * stepIm;
          s = c * stepIm + s * stepRe;
          c = next;
        }
        re[h + 1] = re[h]! + sumRe;
        im[h + 1] = im[h]! + sumIm;
      }
      for (let h = 0; h < places; h++) {
        height[h]! += Math.hypot(re[h + span]! - re[h]!, im[h + span]! - im[h]!);
        top = Math.max(top, height[h]!);
      }
    }
    if (top > 0) for (let h = 0; h < places; h++) score[h]! += height[h]! / top;
    yield (i + 1) / few;
  }
  if (places < 1 || channel.length < shortest * sampleRate) throw new InputError({ where: signal.name, came: `a recording of ${(channel.length / sampleRate).toPrecision(3)} s`, expected: "a recording that holds the steps is expected" });
  let best = 0;
  for (let h = 1; h < places; h++) if (score[h]! > score[best]!) best = h;
  return low + (best * hop) / sampleRate;
}
