import { describe, expect, it } from "vitest";
import { driverFrom } from "../../kernel-helpers/words/driver-from.js";
import { impedanceFrom } from "../../kernel-helpers/words/impedance-from.js";
import { InputError } from "../../src/errors.js";
import { makeFourier } from "../../src/math/fft.js";
import { type RandomNumbers, randomNumbers } from "../../src/math/random.js";
import { makeImpulseResponse } from "../../src/measure/impulse-response.js";
import { makeRecording, type Recording } from "../../src/measure/recording.js";
import type { MeasuredImpedance } from "../../src/measure/two-channel-impedance.js";

/** Box and Muller, Ann. Math. Stat. 29 (1958) 610. */
const normal = (random: RandomNumbers): number => Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform());
const rate = 48_000, size = 2 ** 19;
type Complex = [number, number];
const add = (a: Complex, b: Complex): Complex => [a[0] + b[0], a[1] + b[1]];
const times = (a: Complex, b: Complex): Complex => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
const over = (a: Complex, b: Complex): Complex => times(a, [b[0] / (b[0] ** 2 + b[1] ** 2), -b[1] / (b[0] ** 2 + b[1] ** 2)]);

/** An invented driver: 5.6 ohm, 0.8 mH, a resonance at 38 Hz with 60 ohm and a quality of 5. */
function driver(f: number): Complex {
  const x = f / 38;
  return add([5.6, 2 * Math.PI * f * 0.8e-3], over([60, 0], [1, 5 * (x - 1 / x)]));
}

interface Bench {
  readonly load: (f: number) => Complex;
  readonly sense: number;
  readonly leads: number;
  readonly noise: number;
  readonly seed: number;
  readonly excitation: "sweep" | "noise";
  /** complex gain of the first channel over the second */
  readonly gain?: (f: number) => Complex;
}

/** Voltages of amplifier, driver with leads, and resistor, by the voltage divider at each frequency of one long period. */
function bench({ load, sense, leads, noise, seed, excitation, gain = () => [1, 0] }: Bench): Recording {
  const random = randomNumbers(seed), fourier = makeFourier(size);
  const re = new Float64Array(size), im = new Float64Array(size), seconds = 8.5, growth = seconds / Math.log(2000);
  for (let i = 0; i < size; i++) {
    const t = i / rate - 1;
    re[i] = excitation === "noise" ? 0.1 * normal(random) : t > 0 && t < seconds ? 0.5 * Math.sin(2 * Math.PI * 5 * growth * (Math.exp(t / growth) - 1)) : 0;
  }
  fourier.forward(re, im);
  const voltage = (share: (z: Complex, f: number) => Complex): Float32Array => {
    const a = new Float64Array(size), b = new Float64Array(size);
    for (let k = 1; k < size / 2; k++) {
      const f = (k * rate) / size, [x, y] = times([re[k]!, im[k]!], share(add(load(f), [leads, 0]), f));
      [a[k], b[k], a[size - k], b[size - k]] = [x, y, x, -y];
    }
    fourier.inverse(a, b);
    return Float32Array.from(a, (x) => x + noise * normal(random));
  };
  const channels = [
    voltage((_, f) => gain(f)),
    voltage((z, f) => times(gain(f), over(z, add(z, [sense, 0])))),
    voltage((z) => over([sense, 0], add(z, [sense, 0]))),
    voltage((z) => over(z, add(z, [sense, 0]))),
  ];
  return makeRecording({ name: "bench", sampleRate: rate, channels, notes: [] });
}

/** Share of the trusted points whose true magnitude lies in the stated band, the largest relative error, and how wide the band is. */
function judge({ curve, low, high, trusted }: MeasuredImpedance, truth: (f: number) => Complex = driver) {
  let inside = 0, kept = 0, worst = 0, width = 0;
  curve.frequencies.forEach((f, i) => {
    if (trusted[i] === 0) return;
    const z = truth(f), magnitude = Math.hypot(...z);
    kept++;
    if (magnitude >= low[i]! && magnitude <= high[i]!) inside++;
    worst = Math.max(worst, Math.hypot(curve.re[i]! - z[0], curve.im[i]! - z[1]) / magnitude);
    width = Math.max(width, (high[i]! - low[i]!) / magnitude);
  });
  return { share: inside / kept, kept, worst, width };
}

const quiet = { load: driver, sense: 10, leads: 0.12, noise: 1e-5, seed: 3 };
const words = { senseResistor: "10 ohm", leads: "0.12 ohm", band: ["10 Hz", "5 kHz"] as const };

describe("impedanceFrom", () => {
  it("gives what driverFrom takes as it is, its trust and its noise included", async () => {
    const wanted = { Re: 5.6, Le: 0.6e-3, Bl: 8, Mms: 0.026, Cms: 0.8e-3, Rms: 1.4, Sd: 0.021 };
    // Re + j w Le + Bl^2 / (Rms + j (w M - 1 / (w C))) (Small 1972)
    const motor = (added: number) => (f: number): Complex => {
      const w = 2 * Math.PI * f;
      return add([wanted.Re, w * wanted.Le], over([wanted.Bl ** 2, 0], [wanted.Rms, w * (wanted.Mms + added) - 1 / (w * wanted.Cms)]));
    };
    const setup = { ...quiet, noise: 1e-4, excitation: "sweep" } as const, wiring = { amplifier: 1, resistor: 3 };
    const measured = (added: number, seed: number) => impedanceFrom(bench({ ...setup, load: motor(added), seed }), { ...words, wiring });
    const alone = await measured(0, 21), loaded = await measured(0.015, 22);
    const found = await driverFrom({ freeAir: alone, addedMass: { sweep: loaded, mass: "15 g +- 0.1 g" }, Sd: "210 cm^2" });
    for (const name of ["Re", "Bl", "Mms", "Cms"] as const) expect(Math.abs(found[name] / wanted[name] - 1), name).toBeLessThan(0.02);
    // the points that are not trusted are left out: nonsense in them changes nothing
    const trusted = alone.trusted.map((one, i) => (i % 9 === 4 ? 0 : one)), spoilt = { ...alone.curve, re: alone.curve.re.map((x, i) => (trusted[i] === 0 ? 40 * x : x)) };
    const options = { addedMass: { sweep: loaded, mass: 0.015 }, Sd: 0.021 };
    const kept = await driverFrom({ freeAir: { ...alone, trusted } as never, ...options }), around = await driverFrom({ freeAir: { ...alone, trusted, curve: spoilt } as never, ...options });
    expect(JSON.stringify(around.measured.estimates)).toBe(JSON.stringify(kept.measured.estimates));
  }, 60_000);

  it.each([["sweep"], ["noise"]] as const)("gives the impedance of the circuit from a %s, in each wiring", async (excitation) => {
    const recording = bench({ ...quiet, excitation });
    for (const wiring of [{ amplifier: 1, resistor: 3 }, { driver: 4, resistor: 3 }, { amplifier: 1, driver: 4 }]) {
      const found = judge(await impedanceFrom(recording, { ...words, wiring }));
      expect(found.kept).toBeGreaterThan(210);
      // averaging over a half a hertz, from 11 s, on the flank of the resonance
      console.log(`${excitation} ${JSON.stringify(wiring)}: largest deviation ${(100 * found.worst).toFixed(2)} %`);
      expect(found.worst, JSON.stringify(wiring)).toBeLessThan(0.015);
    }
  }, 60_000);

  it("stays within its stated uncertainty with noise, tolerances, unequal gains and leads", async () => {
    // the true resistors are off by 0.8 % and 0.08 %, the first channel has 3 % more gain and a delay of 2 us
    const gain = (f: number): Complex => [1.03 * Math.cos(2 * Math.PI * f * 2e-6), -1.03 * Math.sin(2 * Math.PI * f * 2e-6)];
    const setup = { sense: 10.08, leads: 0.13, noise: 3e-3, excitation: "sweep", gain } as const;
    const recording = bench({ ...setup, load: driver, seed: 11 }), known = bench({ ...setup, load: () => [8.2066, 0], seed: 12 });
    const options = { senseResistor: "10 ohm +- 1 %", leads: "0.12 ohm +- 0.02 ohm", wiring: { amplifier: 1, resistor: 3 }, band: ["10 Hz", "5 kHz"] as const };
    const found = await impedanceFrom(recording, { ...options, reference: { measured: known, resistor: "8.2 ohm +- 0.1 %" } });
    const result = judge(found);
    // 95 % of the noise and the tolerances at their worst
    expect(result.share).toBeGreaterThan(0.95);
    expect(result.kept).toBeGreaterThan(200);
    expect(found.gainDifferenceDb).toBeCloseTo(20 * Math.log10(1.03), 1);
    expect(found.standardErrorDb!.every((x) => x >= 0)).toBe(true);
    // the band says something: away from the resonance it is narrow
    const i = found.curve.frequencies.findIndex((f) => f > 200);
    expect((found.high[i]! - found.low[i]!) / Math.hypot(found.curve.re[i]!, found.curve.im[i]!)).toBeLessThan(0.06);
    // without the known resistor the gain alone puts most points outside
    const uncorrected = await impedanceFrom(recording, options);
    expect(judge(uncorrected).share).toBeLessThan(0.5);
    expect(uncorrected.notes.map(({ text }) => text).join()).toMatch(/taken to have the same gain/);
  }, 60_000);

  it("tells the noise honestly: about 95 % inside where nothing else is wrong", async () => {
    let inside = 0, all = 0;
    for (const seed of [21, 22]) {
      const result = judge(await impedanceFrom(bench({ load: () => [8, 0], sense: 10, leads: 0, noise: 0.02, seed, excitation: "noise" }), { senseResistor: "10 ohm", wiring: { driver: 4, resistor: 3 }, band: ["20 Hz", "5 kHz"] }), () => [8, 0]);
      inside += result.share * result.kept;
      all += result.kept;
    }
    console.log(`inside the band of noise: ${((100 * inside) / all).toFixed(1)} % of ${all}`);
    expect(inside / all).toBeGreaterThan(0.9);
  }, 60_000);

  it("tells a channel that is connected the wrong way round, and doubts of silence", async () => {
    const recording = bench({ ...quiet, excitation: "noise" });
    const turned = makeRecording({ ...recording, channels: [recording.channels[3]!, recording.channels[2]!.map((x) => -x), new Float32Array(size)] });
    const found = await impedanceFrom(turned, { ...words, wiring: { driver: 1, resistor: 2 } });
    expect(found.notes.map(({ text }) => text).join()).toMatch(/real part is negative/);
    const silent = await impedanceFrom(turned, { ...words, wiring: { driver: 1, resistor: 3 } });
    expect(silent.trusted.every((mark) => mark === 0)).toBe(true);
    expect(silent.curve.re.every(Number.isFinite)).toBe(true);
  }, 60_000);

  it("takes two responses", async () => {
    const frequencies = Float64Array.from({ length: 200 }, (_, i) => 10 * 1.03 ** i);
    const curve = (value: (f: number) => Complex) => ({ name: "u", quantity: "transfer" as const, unit: "ratio" as const, frequencies, re: frequencies.map((f) => value(f)[0]), im: frequencies.map((f) => value(f)[1]), phaseKnown: true });
    const found = await impedanceFrom({ driver: curve((f) => over(driver(f), add(driver(f), [10, 0]))), resistor: curve((f) => over([10, 0], add(driver(f), [10, 0]))) }, { senseResistor: "10 ohm" });
    expect(judge(found).worst).toBeLessThan(0.01);
    // each with a time zero of its own, as impulseFrom gives them
    const impulse = (at: number) => makeImpulseResponse({ name: "u", quantity: "transfer", unit: "ratio", sampleRate: rate, samples: Float64Array.from({ length: 64 }, (_, i) => (i === 20 ? 1 : 0)), zeroIndex: at, band: [20, 20_000], notes: [] });
    const late = await impedanceFrom({ driver: { linear: impulse(17), delay: 0.1 - 3 / rate }, resistor: { linear: impulse(20), delay: 0.1 } } as never, { senseResistor: "10 ohm" });
    expect(judge(late, () => [10, 0]).worst).toBeLessThan(1e-9);
  });

  it("refuses what cannot be", async () => {
    const recording = makeRecording({ name: "short", sampleRate: rate, channels: [new Float32Array(2000), new Float32Array(2000)], notes: [] });
    const refused = async (options: object, pattern: RegExp): Promise<void> => {
      await expect(impedanceFrom(recording, options as never)).rejects.toThrow(InputError);
      await expect(impedanceFrom(recording, options as never)).rejects.toThrow(pattern);
    };
    await refused({ ...words, wiring: { amplifier: 1, resistor: 2 } }, /s of recording/);
    await refused({ ...words }, /which channel lies across what/);
    await refused({ ...words, wiring: { amplifier: 1 } }, /two of amplifier, driver and resistor/);
    await refused({ ...words, wiring: { amplifier: 1, resistor: 1 } }, /one channel for both|short|recording/);
    await refused({ ...words, wiring: { amplifier: 1, resistor: 5 } }, /a channel from 1 to 2/);
    await refused({ ...words, senseResistor: "-1 ohm", wiring: { amplifier: 1, resistor: 2 } }, /above zero/);
    await refused({ ...words, sense: "10 ohm", wiring: { amplifier: 1, resistor: 2 } }, /no option "sense"/);
  });
});
