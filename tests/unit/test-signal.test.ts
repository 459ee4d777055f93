import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { makeExponentialSweep, type SweepOptions } from "../../src/measure/exponential-sweep.js";
import { makePinkNoise, type NoiseOptions } from "../../src/measure/pink-noise.js";
import { describeTestSignal, testSignalFromDescription } from "../../src/measure/signal-description.js";
import { signalSpectrum } from "../../src/measure/signal-spectrum.js";
import { makeSteppedSines, type SteppedOptions } from "../../src/measure/stepped-sine.js";
import { fillPeriod, renderTestSignal, type TestSignal } from "../../src/measure/test-signal.js";

const sweep: SweepOptions = { from: 10, to: 500, duration: 8 };
const steps: SteppedOptions = { frequencies: [20, 40, 80], settle: 0.1, measure: 0.2 };
const noise: NoiseOptions = { from: 20, to: 500, duration: 2 };

/** The error of a call, its message and the field it names. */
function refusal(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  return expect.fail("nothing was thrown");
}

describe("a sweep", () => {
  test.each<[string, Partial<Record<keyof SweepOptions, unknown>>, string, RegExp]>([
    ["stop above half the rate", { to: 30000 }, "sweepSignal.to", /30000 Hz at 48000 samples a second.*24000 Hz/],
    ["stop at the start", { to: 10 }, "sweepSignal.to", /above the start/],
    ["stop below the start", { from: 600 }, "sweepSignal.to", /500 Hz after a start of 600 Hz/],
    ["no start", { from: undefined }, "sweepSignal.from", /nothing/],
    ["start that is no number", { from: NaN }, "sweepSignal.from", /NaN/],
    ["start of zero", { from: 0 }, "sweepSignal.from", /0 Hz/],
    ["fades longer than the sweep", { fadeIn: 5, fadeOut: 4 }, "sweepSignal.fadeIn", /fades of 5 s and 4 s.*8 s/],
    ["negative fade", { fadeOut: -1 }, "sweepSignal.fadeOut", /-1 s/],
    ["level above full scale", { level: 2 }, "sweepSignal.level", /above it by 6.0 dB.*full scale \(0 dB\)/],
    ["level of zero", { level: 0 }, "sweepSignal.level", /above zero/],
    ["level that is no number", { level: NaN }, "sweepSignal.level", /NaN/],
    ["too short", { duration: 1 }, "sweepSignal.duration", /2\.6 periods in the first octave.*4 periods at least, so 1\.56 s/],
    ["negative duration", { duration: -3 }, "sweepSignal.duration", /-3 s/],
    ["half a repeat", { repeats: 1.5 }, "sweepSignal.repeats", /whole number from 1/],
    ["no repeat", { repeats: 0 }, "sweepSignal.repeats", /whole number from 1/],
    ["negative silence", { silence: -1 }, "sweepSignal.silence", /-1 s/],
    ["longer than 30 minutes", { repeats: 200 }, "sweepSignal", /33\.3 minutes.*200 times 10\.0 s.*at most 30\.0 minutes/],
    ["larger than 1 GB", { repeats: 100, sampleRate: 192000 }, "sweepSignal", /16\.7 minutes at 192000 Hz.*at most 11\.7 minutes/],
    ["rate that is not whole", { sampleRate: 48000.5 }, "sweepSignal.sampleRate", /whole number/],
    ["rate too low", { sampleRate: 1000 }, "sweepSignal.sampleRate", /from 8000/],
    ["click in channel 3", { click: { channel: 3 } }, "sweepSignal.click.channel", /1 \(with the signal\) or 2/],
    ["click beyond the rate", { click: { bandwidth: 20000 } }, "sweepSignal.click.bandwidth", /from 50 to 12000/],
    ["click in the sweep", { click: { gap: 0 } }, "sweepSignal.click.gap", /0 s/],
  ])("is refused: %s", (_, change, where, message) => {
    const error = refusal(() => makeExponentialSweep({ ...sweep, ...change } as SweepOptions));
    expect(error.where).toBe(where);
    expect(error.message).toMatch(message);
  });

  test("has usual values, and its fades are raised cosines", () => {
    const signal = makeExponentialSweep({ ...sweep, level: 0.8 });
    expect(signal.recipe).toEqual({ kind: "exponential sweep", name: "sweep 10 Hz to 500 Hz", sampleRate: 48000, level: 0.8, repeats: 1, silence: 2, lead: 0.5, click: null, from: 10, to: 500, duration: 8, fadeIn: 0.2, fadeOut: 0.04, synchronised: false });
    expect(signal.samples.length).toBe(8 * 48000);
    expect(signal.layout).toEqual({ clickAt: undefined, starts: [24000], total: 24000 + 10 * 48000 });
    const plain = makeExponentialSweep({ ...sweep, level: 0.8, fadeIn: 0, fadeOut: 0 }).samples;
    for (const n of [100, 2400, 4800, 9599]) expect(signal.samples[n]!).toBeCloseTo(plain[n]! * (0.5 - 0.5 * Math.cos((Math.PI * n) / 9600)), 14);
    for (const n of [9600, 200000, 382079]) expect(signal.samples[n]).toBe(plain[n]);
    expect(signal.samples[383040]!).toBeCloseTo(plain[383040]! * 0.5, 12);
  });

  test("that is not asked for its samples makes none", () => {
    const before = process.memoryUsage().arrayBuffers;
    const long = makeExponentialSweep({ from: 5, to: 1000, duration: 600, sampleRate: 192000 });
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(1e8);
    expect(long.layout.total).toBe(96000 + 602 * 192000);
    expect(signalSpectrum(long, 24)).toBeUndefined();
    const piece = new Float64Array(3);
    fillPeriod(long, piece, 192000 * 300);
    expect(piece.some((v) => v !== 0)).toBe(true);
  });

  test("puts its click where the layout says, in its channel", () => {
    const signal = makeExponentialSweep({ ...sweep, click: { gap: 0.25, bandwidth: 1000, level: 0.9 }, lead: 0.1 });
    const { clickAt, starts } = signal.layout;
    expect(clickAt).toBe(4800 + 96); // four zeros of a sinc of 1000 Hz: 2 ms
    expect(starts[0]! - clickAt!).toBe(12000);
    const whole = renderTestSignal(signal);
    expect(whole[clickAt!]).toBe(0.9);
    expect(whole.subarray(0, starts[0]).every((v, n) => Math.abs(v) < 0.9 || n === clickAt)).toBe(true);
  });
});

describe("stepped sines", () => {
  test.each<[string, Partial<Record<keyof SteppedOptions, unknown>>, string, RegExp]>([
    ["no frequency", { frequencies: [] }, "steppedSines.frequencies", /empty list/],
    ["a text", { frequencies: "20" }, "steppedSines.frequencies", /a string/],
    ["not ascending", { frequencies: [20, 20] }, "steppedSines.frequencies, place 2", /20 Hz after 20 Hz/],
    ["not a number", { frequencies: [20, NaN] }, "steppedSines.frequencies, place 2", /NaN/],
    ["too high", { frequencies: [22000] }, "steppedSines.frequencies, place 1", /0\.45 of the rate, 21600 Hz/],
    ["nothing to measure", { measure: 0 }, "steppedSines.measure", /0 s/],
    ["fade longer than what settles", { fade: 0.2 }, "steppedSines.fade", /from 0 to 0\.1/],
    ["level above full scale", { level: 1.1 }, "steppedSines.level", /full scale/],
    ["too long", { frequencies: Array.from({ length: 5000 }, (_, i) => 20 + i), measure: 1 }, "steppedSines", /minutes/],
  ])("are refused: %s", (_, change, where, message) => {
    const error = refusal(() => makeSteppedSines({ ...steps, ...change } as SteppedOptions));
    expect(error.where).toBe(where);
    expect(error.message).toMatch(message);
  });

  test("lie one behind the other, each with its time to settle", () => {
    const signal = makeSteppedSines({ ...steps, fade: 0.02 });
    const rate = 48000;
    expect(signal.steps!.map(({ periods, measureCount }) => [periods, measureCount])).toEqual([[4, 9600], [8, 9600], [16, 9600]]);
    signal.steps!.forEach((step, i) => {
      expect(step.start).toBe(i === 0 ? 0 : signal.steps![i - 1]!.end);
      expect(step.measureStart - step.start).toBe(0.1 * rate);
      expect(step.end - step.measureStart - step.measureCount).toBe(0.02 * rate);
      expect(signal.samples[step.start]).toBeCloseTo(0, 12);
    });
    expect(signal.band).toEqual([20, 80]);
  });
});

describe("pink noise", () => {
  test.each<[string, Partial<Record<keyof NoiseOptions, unknown>>, string, RegExp]>([
    ["stop above half the rate", { to: 30000 }, "pinkNoise.to", /24000 Hz/],
    ["too few lines", { to: 22 }, "pinkNoise.duration", /6 lines.*8 lines at least/],
    ["too long", { duration: 1000 }, "pinkNoise.duration", /1000 s/],
    ["seed that is not whole", { seed: 1.5 }, "pinkNoise.seed", /whole number/],
    ["negative seed", { seed: -1 }, "pinkNoise.seed", /whole number/],
    ["level above full scale", { level: 3 }, "pinkNoise.level", /full scale/],
  ])("is refused: %s", (_, change, where, message) => {
    const error = refusal(() => makePinkNoise({ ...noise, ...change } as NoiseOptions));
    expect(error.where).toBe(where);
    expect(error.message).toMatch(message);
  });

  test("follows its seed, and its period is the nearest power of two", () => {
    const one = makePinkNoise({ ...noise, seed: 3 }), again = makePinkNoise({ ...noise, seed: 3 }), other = makePinkNoise({ ...noise, seed: 4 });
    expect(one.samples.length).toBe(2 ** 17);
    expect(again.samples).toEqual(one.samples);
    expect(other.samples).not.toEqual(one.samples);
  });
});

describe("the description of a signal", () => {
  const made: readonly TestSignal[] = [makeExponentialSweep({ ...sweep, click: true }), makeSteppedSines(steps), makePinkNoise({ ...noise, click: { channel: 2 } })];
  const open = (signal: TestSignal): Record<string, unknown> => JSON.parse(JSON.stringify(describeTestSignal(signal))) as Record<string, unknown>;

  test("is plain, in full words", () => {
    expect(open(made[0]!)).toEqual({
      format: "airpath test signal", version: 1, units: "frequencies and rates in Hz, times in s, levels as parts of full scale",
      kind: "exponential sweep", name: "sweep 10 Hz to 500 Hz", sampleRate: 48000, level: 0.5, repeats: 1, silence: 2, lead: 0.5,
      click: { channel: 1, bandwidth: 500, gap: 0.5, level: 0.5 }, from: 10, to: 500, duration: 8, fadeIn: 0.2, fadeOut: 0.04, synchronised: false, total: 528192,
    });
  });

  test("has no key that may be missing, misspelt or of another kind", () => {
    for (const signal of made) {
      for (const key of Object.keys(open(signal))) {
        const { [key]: value, ...rest } = open(signal);
        const read = (v: unknown): unknown => testSignalFromDescription(v, "sweep.json");
        if (key !== "units") expect(refusal(() => read(rest)).message, key).toMatch(new RegExp(`^sweep.json, ${key}: nothing`));
        expect(refusal(() => read({ ...rest, [`${key}x`]: value })).message, key).toMatch(/^sweep.json/);
        expect(refusal(() => read({ ...open(signal), [key]: { a: 1 } })).message, key).toMatch(/^sweep.json/);
        if (key !== "click") expect(refusal(() => read({ ...open(signal), [key]: null })).message, key).toMatch(/^sweep.json/);
      }
      expect(refusal(() => testSignalFromDescription({ ...open(signal), fast: 1 }, "sweep.json")).message).toMatch(/^sweep.json: no key "fast"; known are /);
      expect(testSignalFromDescription({ ...open(signal), note: "for the van" }).recipe).toEqual(signal.recipe);
    }
    for (const value of [undefined, null, 3, "x", [], {}]) expect(refusal(() => testSignalFromDescription(value)).message).toMatch(/^test signal/);
    expect(refusal(() => testSignalFromDescription({ ...open(made[0]!), version: 2 }, "a")).message).toMatch(/^a, version: 2; version 1 is expected/);
    expect(refusal(() => testSignalFromDescription({ ...open(made[0]!), duration: 9 }, "a")).message).toMatch(/^a, total: 528192 samples; 576192 samples/);
    expect(refusal(() => testSignalFromDescription({ ...open(made[0]!), to: 90000 }, "a")).where).toBe("a, to");
    expect(refusal(() => testSignalFromDescription({ ...open(made[0]!), click: { ...made[0]!.recipe.click, loud: 1 } }, "a")).message).toMatch(/^a, click: no key "loud"/);
  });
});

test("rounding adds no period to a step that has whole ones", () => {
  // 100 times 0.07 is 7.000000000000001 in binary
  const [step] = makeSteppedSines({ frequencies: [100], settle: 0, measure: 0.07, fade: 0 }).steps!;
  expect(step!.periods).toBe(7);
});

test("a signal that was cloned away from its recipe is refused", () => {
  const signal = makeSteppedSines(steps);
  expect(refusal(() => fillPeriod({ recipe: { ...signal.recipe } }, new Float64Array(1), 0)).message).toMatch(/the signal itself is expected/);
});
