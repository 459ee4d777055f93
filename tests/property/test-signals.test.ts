import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { makePinkNoise } from "../../src/measure/pink-noise.js";
import { describeTestSignal, testSignalFromDescription } from "../../src/measure/signal-description.js";
import { makeSteppedSines } from "../../src/measure/stepped-sine.js";
import { channelCount, fillPeriod, periodCount, renderSteps, renderTestSignal, type TestSignal } from "../../src/measure/test-signal.js";

const runs = { seed: 20261125, numRuns: 60 };
const click = fc.option(fc.record({ channel: fc.constantFrom<(1 | 2)[]>(1, 2), gap: fc.double({ min: 0.05, max: 0.3, noNaN: true }), bandwidth: fc.double({ min: 100, max: 2000, noNaN: true }) }), { nil: undefined });
const common = fc.record({
  sampleRate: fc.constantFrom(8000, 11025, 22050, 44100),
  level: fc.double({ min: 0.001, max: 1, noNaN: true }),
  repeats: fc.integer({ min: 1, max: 4 }),
  silence: fc.double({ min: 0, max: 0.2, noNaN: true }),
  lead: fc.double({ min: 0, max: 0.2, noNaN: true }),
  click,
});
const sweeps = fc.tuple(common, fc.record({ from: fc.double({ min: 20, max: 200, noNaN: true }), octaves: fc.double({ min: 0.2, max: 4, noNaN: true }), duration: fc.double({ min: 0.6, max: 1.5, noNaN: true }), synchronised: fc.boolean(), fade: fc.double({ min: 0, max: 0.25, noNaN: true }) }))
  .map(([c, { from, octaves, fade, ...rest }]) => makeExponentialSweep({ ...c, ...rest, from, to: from * 2 ** octaves, fadeIn: fade, fadeOut: fade / 2 }));
const steps = fc.tuple(common, fc.record({ list: fc.uniqueArray(fc.integer({ min: 5, max: 3000 }), { minLength: 1, maxLength: 6 }), settle: fc.double({ min: 0, max: 0.1, noNaN: true }), measure: fc.double({ min: 0.01, max: 0.2, noNaN: true }) }))
  .map(([c, { list, ...rest }]) => makeSteppedSines({ ...c, ...rest, frequencies: list.sort((a, b) => a - b) }));
const noises = fc.tuple(common, fc.record({ from: fc.double({ min: 5, max: 100, noNaN: true }), duration: fc.double({ min: 0.3, max: 1.5, noNaN: true }), seed: fc.integer({ min: 0, max: 2 ** 32 - 1 }) }))
  .map(([c, rest]) => makePinkNoise({ ...c, ...rest, to: rest.from * 20 }));
// a counterexample prints the recipe, not all the samples
const signals: fc.Arbitrary<TestSignal> = fc.oneof(sweeps, steps, noises).map((signal) => ({ ...Object.getOwnPropertyDescriptors(signal), [fc.toStringMethod]: { value: () => JSON.stringify(signal.recipe) } })).map((members) => Object.create(null, members) as TestSignal);

const same = (a: Float64Array, b: Float64Array): boolean => Buffer.compare(Buffer.from(a.buffer, a.byteOffset, a.byteLength), Buffer.from(b.buffer, b.byteOffset, b.byteLength)) === 0;

describe("test signals", () => {
  test("stay within their level, lie where the layout says, and are silent elsewhere", () => {
    fc.assert(
      fc.property(signals, (signal) => {
        const { samples, layout, level, recipe, sampleRate } = signal, count = periodCount(signal);
        expect(samples.length).toBe(count);
        expect(samples.every((v) => Math.abs(v) <= level * (1 + 1e-12))).toBe(true);
        expect(samples.some((v) => v !== 0)).toBe(true);
        const whole = renderTestSignal(signal).slice();
        expect(whole.length).toBe(layout.total);
        expect(layout.starts.length).toBe(signal.repeats);
        layout.starts.forEach((start, i) => {
          expect(same(whole.slice(start, start + count), samples)).toBe(true);
          whole.fill(0, start, start + count);
          if (i > 0) expect(start - layout.starts[i - 1]!).toBe(count + Math.round(signal.silence * sampleRate));
        });
        if (recipe.click !== null) {
          expect(layout.clickAt).toBeLessThan(layout.starts[0]!);
          const half = (signal.click!.length - 1) / 2;
          if (recipe.click.channel === 1) expect(whole[layout.clickAt!]).toBe(recipe.click.level);
          whole.fill(0, layout.clickAt! - half, layout.clickAt! + half + 1);
        }
        expect(whole.every((v) => v === 0)).toBe(true);
        const walk = renderSteps(signal);
        let step = walk.next();
        while (step.done !== true) step = walk.next();
        expect(step.value.length).toBe(channelCount(signal));
        if (step.value.length === 2) expect(step.value[1]![layout.clickAt!]).toBe(recipe.click!.level);
      }),
      runs,
    );
  });

  test("come back bit for bit from their description as JSON text", () => {
    fc.assert(
      fc.property(signals, (signal) => {
        const again = testSignalFromDescription(JSON.parse(JSON.stringify(describeTestSignal(signal))));
        expect(again.recipe).toEqual(signal.recipe);
        expect(again.layout).toEqual(signal.layout);
        expect(same(again.samples, signal.samples)).toBe(true);
        expect(describeTestSignal(again)).toEqual(describeTestSignal(signal));
      }),
      runs,
    );
  });

  test("are the same in any pieces", () => {
    fc.assert(
      fc.property(signals, fc.double({ min: 0, max: 1, noNaN: true }), (signal, share) => {
        const at = Math.floor(share * (signal.samples.length - 1)), piece = new Float64Array(Math.min(50, signal.samples.length - at));
        fillPeriod(signal, piece, at);
        expect(same(piece, signal.samples.slice(at, at + piece.length))).toBe(true);
      }),
      runs,
    );
  });
});
