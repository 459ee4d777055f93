import type { HeardClick } from "./click-drift.js";
import type { Recording } from "./recording.js";
import type { TestSignal } from "./test-signal.js";
import { clickReach, clickValue } from "./timing-click.js";

/**
 * The timing click of a signal at the recording's rate, and the part of the recording around it; undefined without a click in the measured channel or when it lies outside.
 *
 * @param options  channel (from 0), sample at which the sweep starts as heard, and values of the transform that must hold both; no unit
 */
export function heardClick(signal: TestSignal, { recording, channel, start, room }: { readonly recording: Recording; readonly channel: number; readonly start: number; readonly room: number }): HeardClick | undefined {
  const { layout, recipe } = signal, played = recipe.click;
  if (played === null || played.channel !== 1 || layout.clickAt === undefined) return undefined;
  const rate = recording.sampleRate, samples = recording.channels[channel]!, reach = Math.ceil(clickReach(played) * rate);
  const click = Float64Array.from({ length: 2 * reach + 1 }, (_, n) => clickValue(played, (n - reach) / rate));
  const distance = (layout.starts[0]! - layout.clickAt) / signal.sampleRate + reach / rate;
  const nominal = start - distance * rate, lead = Math.ceil(0.01 * rate) + reach;
  // the sweep must not have started, nor (early by drift) be about to
  const from = Math.floor(nominal) - lead, to = Math.min(from + Math.floor(room / 2), Math.floor(start - 0.02 * rate));
  if (from < 0 || to - from < click.length + lead + 0.02 * rate || to > samples.length) return undefined;
  return { click, heard: Float64Array.from(samples.subarray(from, to)), expectedAt: nominal - from, distance };
}
