import { InputError } from "../errors.js";
import { longestSignal, mostSamples } from "./signal-checks.js";
import type { SignalRecipe } from "./signal-recipe.js";
import type { SineStep } from "./stepped-sine.js";
import type { SweepShape } from "./sweep-phase.js";
import { clickReach, clickSamples } from "./timing-click.js";

/** Where the parts of a test signal lie in its file. */
export interface SignalLayout {
  /** sample of the timing click, undefined without one; no unit */
  readonly clickAt: number | undefined;
  /** samples at which the repeats start; no unit */
  readonly starts: readonly number[];
  /** samples of the whole file; no unit */
  readonly total: number;
}

/** What is played to measure with. */
export interface TestSignal {
  readonly kind: "exponential sweep" | "stepped sine" | "pink noise";
  /** short name for legends, plain text */
  readonly name: string;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** one period with its fades, without silence, full scale -1 to 1; no unit; made when it is first asked for */
  readonly samples: Float64Array;
  /** Hz, from and to: what it excites */
  readonly band: readonly [number, number];
  /** s, one period without silence */
  readonly sweepDuration: number;
  /** peak, full scale, 0 to 1; no unit */
  readonly level: number;
  /** how often it is played, no unit */
  readonly repeats: number;
  /** s, after each repeat */
  readonly silence: number;
  readonly layout: SignalLayout;
  /** samples of the timing click, an odd number, the middle one at `layout.clickAt`, full scale, no unit; it stands in channel `recipe.click.channel` */
  readonly click?: Float64Array;
  /** the sweep as numbers, for an exponential sweep only */
  readonly sweep?: SweepShape;
  /** the steps in order, for stepped sines only */
  readonly steps?: readonly SineStep[];
  /** what it was made from: the same again gives the same samples */
  readonly recipe: SignalRecipe;
}

/** What a kind of signal adds to its recipe. */
export interface SignalBody {
  /** samples of one period, no unit */
  readonly count: number;
  /** Hz, from and to */
  readonly band: readonly [number, number];
  /** s, one period without silence */
  readonly sweepDuration: number;
  readonly sweep?: SweepShape;
  readonly steps?: readonly SineStep[];
  /** fills a part of one period, from a sample on; full scale, no unit */
  readonly fill: (into: Float64Array, from: number) => void;
}

/** How each signal fills parts of its period, so that a long file is never in memory twice. */
const fills = new WeakMap<SignalRecipe, SignalBody["fill"]>();

/**
 * A frozen test signal from its recipe (SI units) and what its kind adds.
 *
 * @throws InputError  when the file would be longer than 30 minutes or hold more than 2^27 samples
 */
export function makeTestSignal(recipe: SignalRecipe, body: SignalBody, word: string): TestSignal {
  const { count, band, sweepDuration, sweep, steps, fill } = body;
  const layout = makeLayout(recipe, count, word);
  let samples: Float64Array | undefined;
  const frozen = Object.freeze(recipe);
  fills.set(frozen, fill);
  const { kind, name, sampleRate, level, repeats, silence } = recipe;
  return Object.freeze({
    kind, name, sampleRate,
    get samples(): Float64Array {
      if (samples === undefined) {
        samples = new Float64Array(count);
        fill(samples, 0);
      }
      return samples;
    },
    band: Object.freeze([band[0], band[1]] as const), sweepDuration, level, repeats, silence, layout,
    ...(recipe.click === null ? {} : { click: clickSamples(recipe.click, sampleRate) }),
    ...(sweep === undefined ? {} : { sweep: Object.freeze(sweep) }),
    ...(steps === undefined ? {} : { steps: Object.freeze(steps) }),
    recipe: frozen,
  });
}

function makeLayout(recipe: SignalRecipe, count: number, word: string): SignalLayout {
  const { sampleRate, repeats, silence, lead, click } = recipe;
  const before = Math.round(lead * sampleRate);
  const clickAt = click === null ? undefined : before + Math.ceil(clickReach(click) * sampleRate);
  const first = click === null ? before : clickAt! + Math.round(click.gap * sampleRate);
  const period = count + Math.round(silence * sampleRate);
  const total = first + repeats * period;
  if (!(total <= longestSignal * sampleRate && total <= mostSamples)) {
    const most = Math.min(longestSignal, mostSamples / sampleRate);
    const came = `${(total / sampleRate / 60).toFixed(1)} minutes at ${sampleRate} Hz (${repeats} times ${(period / sampleRate).toFixed(1)} s)`;
    throw new InputError({ where: word, came, expected: `at most ${(most / 60).toFixed(1)} minutes are expected`, hint: "shorten it, repeat it less often or lower sampleRate" });
  }
  return Object.freeze({ clickAt, starts: Object.freeze(Array.from({ length: repeats }, (_, k) => first + k * period)), total });
}

/**
 * Samples of one period of a signal from one sample on, full scale -1 to 1, no unit; zero after the period.
 *
 * @throws InputError  for a signal that no function of this project has made
 */
export function fillPeriod(signal: Pick<TestSignal, "recipe">, into: Float64Array, from: number): void {
  const fill = fills.get(signal.recipe);
  if (fill === undefined) throw new InputError({ where: "test signal", came: "a copy of a signal whose recipe was copied too", expected: "the signal itself is expected", hint: "make it again from its description" });
  fill(into, from);
}

/** Channels of the file of a signal, no unit: 2 where the click has one of its own. */
export function channelCount(signal: Pick<TestSignal, "recipe">): 1 | 2 {
  return signal.recipe.click?.channel === 2 ? 2 : 1;
}

/** The first channel of the whole file: silence, click where it is in this channel, all repeats; full scale -1 to 1, no unit. */
export function renderTestSignal(signal: TestSignal): Float64Array {
  const steps = renderSteps(signal);
  for (let step = steps.next(); ; step = steps.next()) if (step.done === true) return step.value[0]!;
}

/** Samples that are made between two reports of progress, no unit. */
const blockSize = 1 << 20;

/** All channels of the whole file, full scale -1 to 1, no unit; yields the share that is done, 0 to 1. */
export function* renderSteps(signal: TestSignal): Generator<number, readonly Float64Array[]> {
  const { layout, recipe } = signal, { starts, total, clickAt } = layout;
  const channels = Array.from({ length: channelCount(signal) }, () => new Float64Array(total));
  const played = channels[0]!, count = periodCount(signal);
  for (let at = 0; at < count; at += blockSize) {
    fillPeriod(signal, played.subarray(starts[0]! + at, starts[0]! + Math.min(count, at + blockSize)), at);
    yield Math.min(count, at + blockSize) / count;
  }
  for (const start of starts.slice(1)) played.copyWithin(start, starts[0]!, starts[0]! + count);
  if (recipe.click !== null && clickAt !== undefined) {
    const pulse = clickSamples(recipe.click, recipe.sampleRate);
    channels[recipe.click.channel - 1]!.set(pulse, clickAt - (pulse.length - 1) / 2);
  }
  return channels;
}

/** Samples of one period without silence, no unit. */
export function periodCount({ layout, recipe }: Pick<TestSignal, "layout" | "recipe">): number {
  return layout.total - layout.starts[layout.starts.length - 1]! - Math.round(recipe.silence * recipe.sampleRate);
}
