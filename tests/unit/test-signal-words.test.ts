import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { inspect } from "node:util";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import * as air from "../../kernel-helpers/index.js";
import type { Figure, Table, View } from "../../kernel-helpers/show/view.js";
import { FileError, InputError } from "../../src/errors.js";
import { renderTestSignal } from "../../src/measure/test-signal.js";
import { expectClose } from "../support/close.js";

const before = process.cwd();
let folder = "";
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "signals-"));
  process.chdir(folder);
});
afterAll(async () => {
  process.chdir(before);
  await rm(folder, { recursive: true, force: true });
});

const woofer = air.driver({ name: "invented 130 mm", Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm", Xmax: "6 mm", power: "60 W" });
const box = air.closedBox({ driver: woofer, volume: "9 L" });
const sweep = air.sweepSignal({ from: "10 Hz", to: "500 Hz", duration: "4 s", level: "-6 dB", repeats: 3, silence: "1 s", click: true, sampleRate: "8 kHz" });
const steps = air.steppedSines({ frequencies: "10:200:12", measure: "0.2 s", settle: "0.1 s", sampleRate: 8000, level: -12, click: { channel: 2, level: "-20 dB" } });
const noise = air.pinkNoise({ from: "20 Hz", to: "500 Hz", duration: "4 s", sampleRate: "8 kHz", repeats: 2, seed: 5 });

const tableOf = (views: readonly View[]): Record<string, string> => Object.fromEntries((views.find((v) => v.kind === "table") as Table).rows as [string, string][]);

describe("words for test signals", () => {
  test("show facts, course and spectrum, all of them finite", () => {
    for (const signal of [sweep, steps, noise]) {
      const views = signal.views();
      expect(views.map((v) => v.kind)).toEqual(["table", "figure", "figure"]);
      expect((views[0] as Table).rows.flat().join(" ")).not.toMatch(/undefined|NaN|Infinity/);
      expect((views[0] as Table).notes!.map((n) => n.text).join()).toMatch(/start low/);
      for (const figure of views.slice(1) as Figure[]) {
        for (const panel of figure.panels) {
          for (const { x, y, name } of panel.traces) {
            expect(x.length, name).toBe(y.length);
            expect([...x].every((v, i) => Number.isFinite(v) && (i === 0 || v >= x[i - 1]!)), `${figure.title}: ${name}`).toBe(true);
            expect([...y].some(Number.isFinite), name).toBe(true);
          }
        }
      }
      expect(inspect(signal)).toMatch(/re full scale, file of/);
    }
  });

  test("tell what a sweep is", () => {
    const rows = tableOf(sweep.views());
    expect(rows["level"]).toMatch(/^peak -6 dB re full scale, RMS over one period -9\.\d+ dB/);
    expect(rows["one period"]).toBe("4 s, played 3 times, 1 s of silence after it");
    expect(rows["timing click"]).toMatch(/^at sample 4032 \(504 ms\) of channel 1/);
    expect(rows["highest frequency"]).toBe("500 Hz, 12.5 % of half the rate (4 kHz)");
    expect(rows["harmonics arrive earlier by"]).toBe("order 2: 708.7 ms, order 3: 1.123 s, order 4: 1.417 s, order 5: 1.646 s");
    expect(rows["energy of one period"]).toMatch(/3 repeats lower noise by 4\.8 dB/);
    // the outline of the course reaches the level in each repeat
    const course = (sweep.views()[1] as Figure).panels[0]!.traces[0]!;
    for (const start of sweep.layout.starts) {
      const heights = [...course.y].filter((_, i) => course.x[i]! > start / 8000 && course.x[i]! < start / 8000 + 4);
      expect(Math.max(...heights)).toBeGreaterThan(0.49);
      expect(Math.min(...heights)).toBeLessThan(-0.49);
    }
    expect(tableOf(noise.views())["crest factor"]).toMatch(/seed 5/);
    expect(tableOf(steps.views())["steps"]).toMatch(/^12, each /);
  });

  test.each<[string, () => unknown, RegExp]>([
    ["a misspelt option", () => air.sweepSignal({ from: 10, to: 500, duration: 8, fadein: 1 } as never), /did you mean "fadeIn"\?/],
    ["no duration", () => air.sweepSignal({ from: 10, to: 500 } as never), /^sweepSignal\.duration: nothing; a time is expected, such as "20 s"/],
    ["a wrong unit", () => air.sweepSignal({ from: "10 m", to: 500, duration: 8 }), /sweepSignal\.from: "10 m" is a length/],
    ["a level above full scale", () => air.sweepSignal({ from: 10, to: 500, duration: 8, level: "3 dB" }), /^sweepSignal\.level: "3 dB", above full scale; a level of at most full scale \(0 dB\) is expected\. the amplifier/],
    ["a level that is no decibel", () => air.sweepSignal({ from: 10, to: 500, duration: 8, level: "1 V" }), /sweepSignal\.level.*decibels/],
    ["repeats as a text", () => air.sweepSignal({ from: 10, to: 500, duration: 8, repeats: "3" as never }), /sweepSignal\.repeats: a string/],
    ["a click that is a text", () => air.sweepSignal({ from: 10, to: 500, duration: 8, click: "yes" as never }), /sweepSignal\.click: "yes"/],
    ["a misspelt click option", () => air.pinkNoise({ from: 20, to: 500, click: { chanel: 2 } as never }), /did you mean "channel"\?/],
    ["synchronised as a text", () => air.sweepSignal({ from: 10, to: 500, duration: 8, synchronised: "yes" as never }), /true or false/],
    ["no frequencies", () => air.steppedSines({} as never), /steppedSines\.frequencies: nothing/],
    ["a click above full scale", () => air.sweepSignal({ from: 10, to: 500, duration: 8, click: { level: 1 } }), /sweepSignal\.click\.level: 1, above full scale/],
    ["a name of two lines", () => air.pinkNoise({ from: 20, to: 500, name: "a\nb" }), /pinkNoise\.name: "a\\nb"; a name in one line/],
    ["a length in a list of frequencies", () => air.steppedSines({ frequencies: ["20 Hz", "40 m"] }), /steppedSines\.frequencies\[1\]: "40 m" is a length/],
    ["a blank name", () => air.pinkNoise({ from: 20, to: 500, name: " " }), /pinkNoise\.name/],
  ])("refuse %s", (_, run, message) => {
    expect(run).toThrow(InputError);
    expect(run).toThrow(message);
  });
});

test("frequencies of steps may have units", () => {
  expect(air.steppedSines({ frequencies: ["20 Hz", 40, "0.1 kHz"] }).recipe).toMatchObject({ frequencies: [20, 40, 100] });
});

describe("files of test signals", () => {
  test("hold the samples to 24 bits, and make the same signal again", async () => {
    await air.saveSignal(sweep, "one/sweep.wav");
    const read = await air.readRecording("one/sweep.wav"), whole = renderTestSignal(sweep);
    expect(read.sampleRate).toBe(8000);
    expect(read.channels[0]!.length).toBe(whole.length);
    expect(whole.every((v, n) => Math.abs(v - read.channels[0]![n]!) <= 2 ** -24 * 1.001)).toBe(true);
    const again = await air.readSignal("one/sweep.json");
    expect(again.recipe).toEqual(sweep.recipe);
    expect(again.samples).toEqual(sweep.samples);
    await air.saveSignal(again, "one/sweep.wav"); // the same again is no overwriting
    await air.saveSignal(steps, "steps.wav", { bits: 16 });
    const two = await air.readRecording("steps.wav");
    expect(two.channels.length).toBe(2);
    expectClose(two.channels[1]![steps.layout.clickAt!]!, 0.1, 0, "the click has its level in its channel; 16 bits", 2 ** -15);
  });

  test("are not written over, neither of the two", async () => {
    await air.saveSignal(noise, "noise.wav");
    const wav = await readFile("noise.wav"), json = await readFile("noise.json", "utf8");
    await expect(air.saveSignal(sweep, "noise.wav")).rejects.toThrow(/noise\.wav: a file of this name with other content.*replace: true/);
    await rm("noise.wav");
    await expect(air.saveSignal(sweep, "noise.wav")).rejects.toThrow(/noise\.json: a file of this name/);
    await expect(readFile("noise.wav")).rejects.toThrow();
    expect(await readFile("noise.json", "utf8")).toBe(json);
    await air.saveSignal(sweep, "noise.wav", { replace: true });
    expect(Buffer.compare(await readFile("noise.wav"), wav)).not.toBe(0);
    expect((await air.readSignal("noise.json")).kind).toBe("exponential sweep");
  });

  test("are not written where one of the names is a folder, neither of the two", async () => {
    await mkdir("taken.json");
    for (const replace of [false, true]) await expect(air.saveSignal(sweep, "taken.wav", { replace })).rejects.toThrow(/saveSignal: taken\.json: this is a folder; a file that can be written is expected/);
    await expect(readFile("taken.wav")).rejects.toThrow();
  });

  test("that were changed are refused, even where they still make as many samples", async () => {
    await air.saveSignal(sweep, "changed.wav");
    const text = await readFile("changed.json", "utf8"), value = JSON.parse(text) as Record<string, unknown>;
    expect(value["digest"]).toMatch(/^[0-9a-f]{16}$/);
    for (const change of [{ level: 0.4 }, { to: 499 }, { name: "other" }, { digest: "0" }] as const) {
      await writeFile("changed.json", JSON.stringify({ ...value, ...change }));
      if ("name" in change) expect((await air.readSignal("changed.json")).name).toBe("other");
      else await expect(air.readSignal("changed.json")).rejects.toThrow(/changed\.json, digest: "[0-9a-f]+"; the digest of the samples/);
    }
    for (const [change, said] of [[{ click: { ...(value["click"] as object), level: null } }, /click\.level: null/], [{ name: "" }, /name: ""; a name in one line/], [{ name: "a\nb" }, /a name in one line/], [{ digest: 7 }, /digest: 7; a text/]] as const) {
      await writeFile("changed.json", JSON.stringify({ ...value, ...change }));
      await expect(air.readSignal("changed.json")).rejects.toThrow(said);
    }
    // written by hand, without a digest
    const { digest: _, ...bare } = value;
    await writeFile("changed.json", JSON.stringify(bare));
    expect((await air.readSignal("changed.json")).recipe).toEqual(sweep.recipe);
  });

  test("that are wrong are told", async () => {
    await writeFile("broken.json", "{ nothing");
    await writeFile("other.json", '{ "format": "airpath design" }');
    await expect(air.readSignal("broken.json")).rejects.toThrow(FileError);
    await expect(air.readSignal("other.json")).rejects.toThrow(/other\.json, format: "airpath design"; "airpath test signal" is expected/);
    await expect(air.readSignal("sweep.wav")).rejects.toThrow(/write "sweep\.json"/);
    await expect(air.readSignal("absent.json")).rejects.toThrow(FileError);
    await expect(air.saveSignal(sweep, "sweep.json")).rejects.toThrow(/ends in \.wav/);
    await expect(air.saveSignal({} as never, "sweep.wav")).rejects.toThrow(/a test signal is expected first/);
    await expect(air.saveSignal(sweep, "sweep.wav", { bit: 16 } as never)).rejects.toThrow(/did you mean "bits"\?/);
    await expect(air.saveSignal(sweep, "sweep.wav", { bits: 20 as never })).rejects.toThrow(/bits/);
  });
});

describe("sweepCaution", () => {
  test("is the prediction at the voltage of the signal", () => {
    const caution = air.sweepCaution(sweep, box, { amplifier: "20 V" });
    const at = 20 * 10 ** (-6 / 20);
    expectClose(caution.voltage, at, 1e-12, "a full-scale sine has 20 V, 6 dB less");
    const p = air.predict(box, { drive: `${at} V`, frequencies: Float64Array.from([caution.frequencies[0]!, caution.frequencies[100]!]) });
    expectClose(caution.excursionPeak[0]!, p.excursionPeak[0]!, 1e-10, "the prediction");
    expectClose(caution.excursionPeak[100]!, p.excursionPeak[1]!, 1e-10, "the prediction");
    expectClose(caution.level[100]!, p.level[1]!, 1e-10, "the prediction");
    expectClose(caution.power[100]!, at ** 2 * (p.impedance.re[1]! / (p.impedance.re[1]! ** 2 + p.impedance.im[1]! ** 2)), 1e-10, "power into an impedance: U^2 Re(1/Z)");
    // far below resonance the cone follows the force: x = sqrt2 U Bl / Re C, with the box as a second spring
    const { Bl, Re, Cms, Vas } = woofer, low = air.sweepCaution(air.sweepSignal({ from: 1, to: 100, duration: "20 s", level: 0 }), box, { amplifier: "2 V" });
    expectClose(low.excursionPeak[0]!, (Math.SQRT2 * 2 * Bl * Cms) / (Re * (1 + Vas / 9e-3)), 2e-3, "Small 1972: excursion of a closed box far below resonance; box a little stiffer or softer with its air");
  });

  test("says down to which level and from which frequency on the cone stays within Xmax, and so it does", () => {
    const loud = air.sweepCaution(sweep, box, { amplifier: "60 V" });
    expect(loud.largest.excursion).toBeGreaterThan(0.006);
    expect(loud.notes.some((n) => n.severity === "warning" && /beyond Xmax of 6\.00 mm: play at most at -\d+\.\d dB re full scale, or start at \d+/.test(n.text))).toBe(true);
    const quiet = air.sweepCaution(air.sweepSignal({ from: 10, to: 500, duration: 8, level: 20 * Math.log10(loud.safeLevel!) }), box, { amplifier: "60 V" });
    expectClose(quiet.largest.excursion, 0.006, 1e-9, "linear: excursion in proportion to level");
    expectClose(quiet.safeFrom!, 10, 1e-9, "within Xmax from the start");
    const high = air.sweepCaution(air.sweepSignal({ from: loud.safeFrom!, to: 500, duration: 8, level: -6 }), box, { amplifier: "60 V" });
    expectClose(high.largest.excursion, 0.006, 2e-3, "between two points of the grid");
    expect(loud.meanPower).toBeGreaterThan(60);
    expect(loud.notes.some((n) => /W on average are more than the rated 60\.0 W/.test(n.text))).toBe(true);
    const cool = air.sweepCaution(air.sweepSignal({ from: 10, to: 500, duration: 8, level: 20 * Math.log10(loud.coolLevel!) }), box, { amplifier: "60 V" });
    expectClose(cool.meanPower, 60, 1e-9, "linear: power in proportion to the square of the level");
    expect(loud.notes.some((n) => /protect ears/.test(n.text))).toBe(true);
    const calm = air.sweepCaution(sweep, box, { amplifier: "2 V" });
    expect(calm.notes.filter((n) => n.severity === "warning").map((n) => n.text).join()).not.toMatch(/Xmax|rated/);
  });

  test("counts the timing click: its displacement is that of the equation of motion, integrated over time", () => {
    const quiet = air.driver({ Re: "3.5 ohm", Le: "0 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", Xmax: "6 mm" });
    for (const [bandwidth, channel] of [[60, 1], [500, 1], [60, 2]] as const) {
      const low = air.sweepSignal({ from: 10, to: 500, duration: 8, level: "-40 dB", sampleRate: 8000, click: { level: "0 dB", bandwidth, channel } });
      const caution = air.sweepCaution(low, air.closedBox({ driver: quiet, volume: "9 L" }), { amplifier: "60 V" });
      // m x'' + (R + Bl^2/Re) x' + (1/C + rho c^2 S^2/V) x = Bl u / Re, in steps of a twentieth of a sample; air mass in front not in it
      const [Re, Bl, m, C, R, S, V] = [3.5, 6.3, 0.013, 0.6e-3, 1.1, 88e-4, 9e-3], stiff = 1 / C + (1.2041 * 343.2 ** 2 * S ** 2) / V, steps = 20, dt = 1 / 8000 / steps;
      let x = 0, v = 0, most = 0;
      for (let n = 0; n < 8000; n++) {
        for (let k = 0; k < steps; k++) {
          const at = (a: number): number => low.click![a] ?? 0, u = 60 * Math.SQRT2 * (at(n) * (1 - k / steps) + at(n + 1) * (k / steps));
          v += (dt * ((Bl * u) / Re - (R + Bl ** 2 / Re) * v - stiff * x)) / m;
          x += dt * v;
          most = Math.max(most, Math.abs(x));
        }
      }
      const warned = caution.notes.filter(({ text }) => text.startsWith("the timing click would move the cone"));
      if (channel === 2) {
        expect(caution.clickExcursion).toBeUndefined();
        expect(warned).toEqual([]);
        continue;
      }
      expectClose(caution.clickExcursion!, most, 0.04, "time integration of the equation of motion, air mass and losses of the box left out");
      expect(caution.largest).toEqual({ excursion: caution.clickExcursion, frequency: undefined });
      expectClose(caution.safeLevel!, (0.01 * 0.006) / caution.clickExcursion!, 1e-9, "linear");
      expect(warned.length).toBe(1);
      expect(tableOf(caution.views())["largest excursion"]).toMatch(/mm peak in the timing click/);
      const softer = air.sweepSignal({ from: 10, to: 500, duration: 8, level: "-40 dB", sampleRate: 8000, click: { level: 20 * Math.log10(0.0059 / caution.clickExcursion!), bandwidth } });
      expect(air.sweepCaution(softer, air.closedBox({ driver: quiet, volume: "9 L" }), { amplifier: "60 V" }).notes.some(({ text }) => text.includes("timing click"))).toBe(false);
    }
  });

  test("takes the conditions of a prediction, peak voltages, steps and noise", () => {
    const p = air.predict(box, { sourceResistance: "1 ohm", distance: "2 m", drive: "1 V" });
    const a = air.sweepCaution(sweep, p, { amplifier: "20 V" }), b = air.sweepCaution(sweep, box, { amplifier: `${20 * Math.SQRT2} V`, voltage: "peak", sourceResistance: "1 ohm", distance: "2 m" });
    a.excursionPeak.forEach((x, i) => expectClose(x, b.excursionPeak[i]!, 1e-12, "the same conditions"));
    expect([...a.frequencies]).toEqual([...b.frequencies]);
    const s = air.sweepCaution(steps, box, { amplifier: "20 V" });
    expect([...s.frequencies]).toEqual(steps.steps!.map((step) => step.frequency));
    const n = air.sweepCaution(noise, box, { amplifier: "20 V" });
    expect(n.largest.frequency).toBeUndefined();
    // root mean square of the noise in full scales, times the peak voltage of full scale
    const rms = Math.sqrt(noise.samples.reduce((sum, v) => sum + v * v, 0) / noise.samples.length);
    expectClose(n.voltage, rms * 20 * Math.SQRT2, 1e-12, "20 V RMS is a sine of peak 1");
    const rmsExcursion = Math.sqrt(n.excursionPeak.reduce((sum, x, i) => sum + (i === 0 || i === n.excursionPeak.length - 1 ? 0.5 : 1) * x * x, 0) / (n.excursionPeak.length - 1) / 2);
    expectClose(n.largest.excursion, (0.5 / rms) * rmsExcursion, 1e-9, "crest factor times root mean square");
    for (const caution of [a, s, n]) {
      const [table, figure] = caution.views() as [Table, Figure];
      expect(table.rows.flat().join(" ")).not.toMatch(/undefined|NaN|Infinity/);
      expect(figure.panels[0]!.traces.map((t) => t.role)).toEqual(["prediction", "limit"]);
      expect(figure.panels[0]!.traces[1]!.y[0]).toBeCloseTo(6, 12);
      expect(inspect(caution)).toMatch(/mm peak/);
    }
  });

  test("does not judge what is not known", () => {
    const { Xmax: _, ratedPower: __, ...bare } = { Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", Xmax: 0, ratedPower: 0 };
    const caution = air.sweepCaution(sweep, air.closedBox({ driver: air.driver(bare), volume: "9 L" }), { amplifier: "20 V" });
    expect([caution.Xmax, caution.safeLevel, caution.safeFrom, caution.ratedPower, caution.coolLevel]).toEqual([undefined, undefined, undefined, undefined, undefined]);
    expect(caution.notes.map((n) => n.text).join()).toMatch(/Xmax of "unnamed driver" is not known.*rated power of "unnamed driver" is not known/);
    expect((caution.views()[0] as Table).rows.flat().join(" ")).not.toMatch(/undefined|NaN/);
  });

  test.each<[string, () => unknown, RegExp]>([
    ["no amplifier", () => air.sweepCaution(sweep, box, {} as never), /sweepCaution\.amplifier: nothing/],
    ["a power", () => air.sweepCaution(sweep, box, { amplifier: "20 W" }), /sweepCaution\.amplifier: "20 W" is a power/],
    ["zero volts", () => air.sweepCaution(sweep, box, { amplifier: 0 }), /above zero/],
    ["no signal", () => air.sweepCaution(null as never, box, { amplifier: 20 }), /a test signal is expected first/],
    ["no design", () => air.sweepCaution(sweep, woofer as never, { amplifier: 20 }), /a prediction or a design is expected second/],
    ["a kind of voltage that is none", () => air.sweepCaution(sweep, box, { amplifier: 20, voltage: "mean" as never }), /"RMS", "peak"/],
    ["a space beside a prediction", () => air.sweepCaution(sweep, air.predict(box), { amplifier: 20, space: "full" }), /sweepCaution\.space: "full"; that of the prediction is taken/],
    ["a misspelt option", () => air.sweepCaution(sweep, box, { amplifer: 20 } as never), /did you mean "amplifier"\?/],
  ])("refuses %s", (_, run, message) => {
    expect(run).toThrow(InputError);
    expect(run).toThrow(message);
  });
});
