import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { afterEach, describe, expect, it, vi } from "vitest";
import { InputError } from "../../src/errors.js";
import { type Curve, makeCurve } from "../../src/math/curve.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { randomNumbers } from "../../src/math/random.js";
import type { Figure, Table, Text } from "../../kernel-helpers/show/view.js";
import { designFromJson, designToJson } from "../../kernel-helpers/words/design-json.js";
import { explain } from "../../kernel-helpers/words/explain.js";
import type { NotebookDesign } from "../../kernel-helpers/words/notebook-design.js";
import { predict, type PredictWords } from "../../kernel-helpers/words/predict.js";
import { space } from "../../kernel-helpers/words/space.js";

const folder = fileURLToPath(new URL("../../data-demo/designs/", import.meta.url));
type Json = { [key: string]: never };

/** A demo design, and the same with something planted in driver, enclosure or conditions. */
function demo(name: string, plant: { readonly driver?: object; readonly enclosure?: object } = {}): { readonly design: NotebookDesign; readonly predict: PredictWords } {
  const json = JSON.parse(readFileSync(`${folder}${name}.json`, "utf8")) as Json;
  const { design, predict: words } = designFromJson({ ...json, driver: { ...(json["driver"] as object), ...plant.driver }, enclosure: { ...(json["enclosure"] as object), ...plant.enclosure } });
  return { design, predict: { ...words, frequencies: "15:400:500" } };
}

/** A curve with normal noise of so many dB in level (and the same relative error in phase), seeded. */
function noisy(curve: Curve, db: number, seed: number, extra: { readonly phase?: boolean; readonly gain?: number; readonly delay?: number } = {}): Curve {
  const random = randomNumbers(seed), { phase = false, gain = 0, delay = 0 } = extra;
  const size = curve.re.map((re, i) => Math.hypot(re, curve.im[i]!) * 10 ** ((gain + db * normalQuantile(random.uniform())) / 20));
  const angle = curve.re.map((re, i) => Math.atan2(curve.im[i]!, re) - 2 * Math.PI * curve.frequencies[i]! * delay + (db / 8.686) * normalQuantile(random.uniform()));
  return makeCurve({ ...curve, name: "synthetic", re: phase ? size.map((s, i) => s * Math.cos(angle[i]!)) : size, im: phase ? size.map((s, i) => s * Math.sin(angle[i]!)) : new Float64Array(size.length), phaseKnown: phase });
}

const leakRange = ["1e4 Pa s/m^3", "1e8 Pa s/m^3"] as const;
const usual = { leak: leakRange, Qms: "+- 50 %", Bl: "+- 20 %", fs: "+- 20 %" } as const;
const band = ["25 Hz", "200 Hz"] as const;

describe("explain, on synthetic truth with noise", () => {
  it("finds a planted leak of the tapped horn within its interval and leaves the others at nothing", async () => {
    const built = demo("tapped-horn", { enclosure: { leak: 150_000 } }), drawn = demo("tapped-horn");
    const start = performance.now();
    const why = await explain(noisy(predict(built.design, built.predict).pressure, 0.3, 1), predict(drawn.design, drawn.predict), { fit: usual, band });
    const seconds = (performance.now() - start) / 1e3;
    console.log(`four changes of the demo tapped horn: ${seconds.toFixed(1)} s`);
    const [leak, ...others] = why.changes;
    expect(leak!.isOff).toBe(true);
    expect(leak!.interval[0]).toBeLessThan(150_000);
    expect(leak!.interval[1]).toBeGreaterThan(150_000);
    for (const c of others) expect(c.isOff, c.name).toBe(false);
    expect(leak!.order).toBe(1);
    expect(leak!.explainsAlone).toBeGreaterThan(0.5);
    expect(why.nothingToExplain).toBe(false);
    expect(why.rmsDb[0]!.after).toBeLessThan(0.36);
    // a quarter of it on a machine with nothing else to do
    expect(seconds).toBeLessThan(20);
  });

  it("a leak beyond its range is not called none: one sentence says that the range is too narrow for what deviates", async () => {
    const built = demo("closed-box", { enclosure: { leak: 60_000 } }), drawn = demo("closed-box");
    const why = await explain(noisy(predict(built.design, built.predict).pressure, 0.1, 5), predict(drawn.design, drawn.predict), { fit: { leak: ["3e5 Pa s/m^3", "1e8 Pa s/m^3"], Bl: "+- 1 %" }, band });
    const text = (why.views().find((view) => view.kind === "text") as Text).paragraphs.join(" ");
    expect(why.changes[0]!.isAtEnd).toBe(true);
    expect(text).toMatch(/leak.*lies? at the end of (its|their) range|leak.*they lie at the end/);
    expect(text).not.toMatch(/nothing to explain by .*leak/);
  });

  it("finds two planted changes, a leak and the loss of the driver, of a closed box", async () => {
    const built = demo("closed-box", { driver: { Rms: "1.7 N s/m" }, enclosure: { leak: 300_000 } }), drawn = demo("closed-box");
    const truth = predict(built.design, built.predict);
    const why = await explain({ level: noisy(truth.pressure, 0.3, 2), impedance: noisy(truth.impedance, 0.1, 3) }, drawn, { fit: { leak: leakRange, Qms: "+- 60 %", Bl: "+- 20 %" }, band });
    const [leak, Qms, Bl] = why.changes;
    expect([leak!.isOff, Qms!.isOff, Bl!.isOff]).toEqual([true, true, false]);
    expect(leak!.interval[0] < 300_000 && leak!.interval[1] > 300_000).toBe(true);
    const real = built.design.driver.Qms;
    expect(Qms!.interval[0] < real && Qms!.interval[1] > real).toBe(true);
    expect(why.confused).toEqual([]);
  });

  it("finds a fill that was put in, and its leak", async () => {
    const built = demo("closed-box", { enclosure: { leak: 200_000, fill: { flowResistivity: 4000 } } }), drawn = demo("closed-box");
    const truth = predict(built.design, built.predict);
    const why = await explain({ level: noisy(truth.pressure, 0.2, 4), impedance: noisy(truth.impedance, 0.1, 5) }, drawn, { fit: { leak: leakRange, fill: ["500 Pa s/m^2", "30000 Pa s/m^2"], Re: "+- 10 %" }, band: ["20 Hz", "300 Hz"] });
    expect(why.changes.map((c) => c.isOff)).toEqual([true, true, false]);
    expect(why.changes[0]!.interval[0] < 200_000 && why.changes[0]!.interval[1] > 200_000).toBe(true);
    expect(why.changes[1]!.interval[0] < 4000 && why.changes[1]!.interval[1] > 4000).toBe(true);
  });

  it("says by name what cannot be told apart: level and drive", async () => {
    const { design, predict: words } = demo("closed-box");
    const why = await explain(noisy(predict(design, words).pressure, 0.2, 6, { gain: 2 }), { design, predict: words }, { fit: { level: "+- 4 dB", drive: "+- 50 %", Qms: "+- 30 %" }, band });
    expect(why.confused).toEqual([["level", "drive"]]);
    expect(why.sentences.join(" ")).toMatch(/level and drive cannot be told apart by these data: level \+1\.00 dB with drive -11\.5 % changes the curve by 0\.0\d+ dB/);
    expect(why.changes.map((c) => c.isOff)).toEqual([false, false, false]);
    expect(why.nothingToExplain).toBe(false);
    expect(why.notes.filter((note) => note.severity === "warning")).toHaveLength(1);
    expect(why.rmsDb[0]!.after).toBeLessThan(0.25);
  });

  it("says by name what cannot be told apart: two leaks at one place", async () => {
    const json = JSON.parse(readFileSync(`${folder}own-network.json`, "utf8")) as { enclosure: { elements: { kind: string; node?: string }[] } };
    const chamber = json.enclosure.elements.find((e) => e.kind === "volume")!.node!;
    const leaks = (a: number, b: number): unknown[] => [{ kind: "leak", name: "hole", node: chamber, resistance: a }, { kind: "leak", name: "seam", node: chamber, resistance: b }];
    const made = (a: number, b: number): ReturnType<typeof designFromJson> => designFromJson({ ...json, enclosure: { ...json.enclosure, elements: [...json.enclosure.elements, ...leaks(a, b)] } });
    const built = made(2e5, 1e7), drawn = made(1e7, 1e7);
    const why = await explain(noisy(predict(built.design, { frequencies: "15:400:500" }).pressure, 0.2, 7), drawn.design, { fit: { "hole.resistance": ["1e5 Pa s/m^3", "1e8 Pa s/m^3"], "seam.resistance": ["1e5 Pa s/m^3", "1e8 Pa s/m^3"] }, band });
    expect(why.confused).toEqual([["hole.resistance", "seam.resistance"]]);
    expect(why.nothingToExplain).toBe(false);
    expect(why.changes.map((c) => c.isOff)).toEqual([false, false]);
  });

  it("says that there is nothing to explain where nothing is planted", async () => {
    const { design, predict: words } = demo("tapped-horn");
    const prediction = predict(design, words);
    const why = await explain(noisy(prediction.pressure, 0.3, 8), prediction, { fit: usual, band });
    expect(why.nothingToExplain).toBe(true);
    expect(why.changes.map((c) => c.isOff)).toEqual([false, false, false, false]);
    expect(why.sentences[1]).toBe("There is nothing to explain by leak, Qms, Bl and fs: none of them is significantly off, and what deviates is noise.");
    for (const c of why.changes.slice(1)) expect(c.interval[0] < (design.driver as never)[c.name] && c.interval[1] > (design.driver as never)[c.name], c.name).toBe(true);
  });
});

describe("explain, over seeds", () => {
  it("a planted leak lies within its 95 % interval in 17 of 20 trials at least, and what was not planted is found in 2 at most", async () => {
    const built = demo("closed-box", { enclosure: { leak: 250_000 } }), drawn = demo("closed-box"), pressure = predict(built.design, built.predict).pressure;
    let held = 0, falsely = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const why = await explain(noisy(pressure, 0.3, 500 + seed), drawn, { fit: { leak: leakRange, Qms: "+- 60 %" }, band: ["20 Hz", "200 Hz"], perOctave: 12 });
      const [leak, Qms] = why.changes;
      if (leak!.interval[0] <= 250_000 && leak!.interval[1] >= 250_000) held++;
      if (Qms!.isOff) falsely++;
    }
    // binomial with 95 %: 17 or more with probability 0.984
    expect(held).toBeGreaterThanOrEqual(17);
    expect(falsely).toBeLessThanOrEqual(2);
  });
});

describe("explain, what goes on with it", () => {
  const truth = (): Promise<Awaited<ReturnType<typeof explain>>> => {
    const built = demo("closed-box", { enclosure: { leak: 150_000 } });
    return explain(noisy(predict(built.design, built.predict).pressure, 0.2, 9, { gain: 1 }), demo("closed-box"), { fit: { leak: leakRange, level: "+- 3 dB" }, band });
  };

  it("the fitted design is a design: it predicts the fitted curve, is saved with its changes and read again", async () => {
    const why = await truth(), drawn = demo("closed-box");
    const level = predict(why.design, why.conditions).level;
    expect([...why.fitted.level]).toEqual([...level]);
    const json = designToJson(why.design, why.conditions) as { note: string; enclosure: { leak: number } };
    expect(json.note).toMatch(/^fitted to "synthetic" from 25 Hz to 200 Hz: leak: 400000 Pa s\/m\^3 -> 1\d{5} Pa s\/m\^3; level: \+0\.00 dB -> \+[01]\.\d\d dB$/);
    expect(json.enclosure.leak).toBeCloseTo(why.changes[0]!.value, 6);
    const again = designFromJson(JSON.parse(JSON.stringify(json)));
    expect([...predict(again.design, again.predict).level]).toEqual([...level]);
    expect(why.design.notes.at(-1)!.text).toBe(json.note);
    // what was given is as it was
    expect(drawn.design.recipe["leak"]).toBe(400_000);
    expect(why.record).toHaveLength(2);
  });

  it("the figure shows measured, designed and fitted, and what is left; the table and the sentences say the rest", async () => {
    const why = await truth(), [figure, table, text] = why.views() as [Figure, Table, Text];
    expect(figure.panels.map((panel) => panel.traces.map((trace) => trace.role))).toEqual([["prediction", "comparison", "measurement"], ["residual", "faint"]]);
    const [fitted, designed, measured] = figure.panels[0]!.traces.map((trace) => trace.y) as [Float64Array, Float64Array, Float64Array];
    measured.forEach((value, i) => {
      expect(value - designed[i]!).toBeCloseTo(why.beforeDb[i]!, 10);
      expect(value - fitted[i]!).toBeCloseTo(why.afterDb[i]!, 10);
    });
    expect(table.rows.map((row) => row[0]).sort()).toEqual(["leak", "level"]);
    expect(text.paragraphs).toEqual(why.sentences);
    expect(String(why.changes[0]!.intervalText)).toMatch(/^1\d{5} Pa s\/m\^3 to [12]\d{5} Pa s\/m\^3$/);
  });

  it("the same input gives the same result, bit by bit", async () => {
    const [a, b] = [await truth(), await truth()];
    expect(JSON.stringify(b.changes)).toBe(JSON.stringify(a.changes));
    expect([...b.afterDb]).toEqual([...a.afterDb]);
  });

  describe("interrupted", () => {
    afterEach(() => void vi.restoreAllMocks());
    it("it gives turns to the event loop, leaves no half result, and the next run is whole", async () => {
      const whole = await truth();
      let turns = 0;
      vi.spyOn(globalThis, "setImmediate").mockImplementation(((resume: () => void) => {
        if (++turns > 5) throw new Error("interrupted");
        resume();
      }) as never);
      await expect(truth()).rejects.toThrow("interrupted");
      vi.restoreAllMocks();
      expect(turns).toBe(6);
      expect(JSON.stringify((await truth()).changes)).toBe(JSON.stringify(whole.changes));
    });
  });

  it("uses the phase where it is known, without its delay and polarity", async () => {
    const built = demo("closed-box", { driver: { Bl: "6.9 T m" } }), drawn = demo("closed-box"), pressure = predict(built.design, built.predict).pressure;
    const turned = makeCurve({ ...pressure, re: pressure.re.map((x) => -x), im: pressure.im.map((x) => -x) });
    const options = { fit: { Bl: "+- 30 %", Mms: "+- 30 %" }, band } as const;
    const [plain, delayed] = [await explain(noisy(pressure, 0.3, 10), drawn, options), await explain(noisy(turned, 0.3, 10, { phase: true, delay: 4e-3 }), drawn, options)];
    expect(delayed.rmsDb.map((r) => r.name)).toEqual(["level", "phase"]);
    for (const r of delayed.rmsDb) expect(r.after, r.name).toBeLessThan(0.36);
    const [Bl] = delayed.changes;
    expect(Bl!.interval[0] < 6.9 && Bl!.interval[1] > 6.9).toBe(true);
    expect(Bl!.interval[1] - Bl!.interval[0]).toBeLessThan(plain.changes[0]!.interval[1] - plain.changes[0]!.interval[0]);
    expect((await explain(noisy(turned, 0.3, 10, { phase: true }), drawn, { ...options, phase: false })).rmsDb).toHaveLength(1);
  });

  it("a listener in a room that sat elsewhere, and a room that is damped otherwise, are found", async () => {
    const { design } = demo("closed-box");
    const room = (listener: readonly [number, number, number], absorption: number) => space.room({ size: [5, 4, 2.5], box: [0.4, 0.5, 0.3], listener: [...listener], absorption });
    const frequencies = "15:200:300";
    const heard = predict(design, { in: room([3.5, 2.1, 1.2], 0.26), frequencies }).pressure;
    const why = await explain(noisy(heard, 0.3, 11), predict(design, { in: room([3.4, 2, 1.2], 0.2), frequencies }), { fit: { "listener x": "+- 20 cm", "listener y": "+- 20 cm", "space damping": ["0.5", "2"] }, band: ["20 Hz", "120 Hz"], perOctave: 12 });
    const [x, y, damping] = why.changes;
    expect(x!.interval[0] < 0.1 && x!.interval[1] > 0.1).toBe(true);
    expect(y!.interval[0] < 0.1 && y!.interval[1] > 0.1).toBe(true);
    expect(damping!.interval[0] < 1.3 && damping!.interval[1] > 1.3).toBe(true);
    expect(why.changes.map((c) => c.isOff)).toEqual([true, true, true]);
    expect((why.conditions.in as { recipe: { listener: number[] } }).recipe.listener[0]).toBeCloseTo(3.4 + x!.value, 9);
  });

  it("says what is left where something else is wrong, in which band, and a value that ends at its bound", async () => {
    const { design, predict: words } = demo("closed-box"), p = predict(design, words).pressure;
    const dip = makeCurve({ ...p, re: p.re.map((x, i) => x * 10 ** (-4 * Math.exp(-((Math.log2(p.frequencies[i]! / 90) / 0.15) ** 2)) / 20)), im: p.im.map((x, i) => x * 10 ** (-4 * Math.exp(-((Math.log2(p.frequencies[i]! / 90) / 0.15) ** 2)) / 20)) });
    const other = await explain(noisy(dip, 0.1, 12), { design, predict: words }, { fit: { Qms: "+- 20 %", leak: leakRange }, band });
    expect(other.sentences.at(-1)).toMatch(/^What is left of the level is not noise: from (7\d|8\d)(\.\d)? Hz to (9\d|10\d)(\.\d)? Hz the measurement is [23]\.\d\d dB below/);
    // a warning that stands in a sentence is not shown again
    expect(other.notes.some(({ severity, text }) => severity === "warning" && text.startsWith("what is left of the level"))).toBe(true);
    expect((other.views().at(-1) as Text).notes!.some(({ text }) => text.startsWith("what is left"))).toBe(false);
    const ended = await explain(noisy(p, 0.1, 13, { gain: 3 }), { design, predict: words }, { fit: { level: "+- 1 dB" }, band });
    expect(ended.changes[0]!.isAtEnd).toBe(true);
    expect(ended.sentences.join(" ")).toMatch(/level lies at the end of its range, \+1\.00 dB/);
  });

  it("a smoothed measurement is compared with a smoothed prediction", async () => {
    const built = demo("tapped-horn", { enclosure: { leak: 150_000 } }), drawn = demo("tapped-horn");
    const why = await explain(noisy(predict(built.design, { ...built.predict, frequencies: "15:400:1500" }).pressure, 0.5, 14), predict(drawn.design, drawn.predict), { fit: { leak: leakRange }, band: ["30 Hz", "150 Hz"], smooth: "1/6 octave", perOctave: 12 });
    expect(why.changes[0]!.interval[0] < 150_000 && why.changes[0]!.interval[1] > 150_000).toBe(true);
    expect(why.rmsDb[0]!.after).toBeLessThan(0.15);
  });

  it("leaves out what is not trusted and weighs by the standard error", async () => {
    const { design, predict: words } = demo("closed-box"), p = noisy(predict(design, words).pressure, 0.1, 15);
    const spoiled = makeCurve({ ...p, re: p.re.map((x, i) => (p.frequencies[i]! < 40 ? 3 * x : x)) });
    const trusted = Uint8Array.from(p.frequencies, (f) => (f < 40 ? 0 : 1)), standardErrorDb = Float64Array.from(p.frequencies, () => 0.1);
    const why = await explain({ curve: spoiled, trusted, standardErrorDb } as never, { design, predict: words }, { fit: { Qms: "+- 30 %" }, band });
    expect(why.nothingToExplain).toBe(true);
    expect(why.frequencies[0]!).toBeGreaterThan(40);
    expect(why.notes.map((note) => note.text).join()).toMatch(/points that are not trusted were left out/);
  });
});

describe("explain, what can be fitted", () => {
  const level = async (name: string, fit: object, conditions?: PredictWords): Promise<string> => {
    const { design, predict: words } = demo(name), p = predict(design, { ...words, ...conditions });
    return (await explain(p.pressure, p, { fit: fit as never, band: ["30 Hz", "120 Hz"], perOctave: 6 })).changes.map((c) => `${c.name}: ${c.from}`).join("; ");
  };

  it("numbers of the recipe, chambers, lengths, air and drive, each at what the design has", async () => {
    expect(await level("vented-box", { volume: "+- 5 %", "source resistance": [0, "0.5 ohm"], "sound speed": "+- 3 %" })).toMatch(/^volume: [\d.]+ L; source resistance: 0 ohm; sound speed: 343\.\d m\/s$/);
    expect(await level("tapped-horn", { "path length": "+- 3 %", frontTap: "+- 2 cm", "path.stations[1].area": "+- 10 %", fill: ["100 Pa s/m^2", "5000 Pa s/m^2"] })).toBe("path length: 2.4 m; frontTap: 90 mm; path.stations[1].area: 150 cm^2; fill: none");
    expect(await level("front-loaded-horn", { "rearChamber.leak": leakRange, distance: "+- 10 %" })).toMatch(/^rearChamber\.leak: (tight|\d+ Pa s\/m\^3); distance: 1 m$/);
    // more than five are ordered by a shorter way
    expect(await level("closed-box", { "box loss": ["0 Pa s/m^3", "5000 Pa s/m^3"], Vas: "6.6 L +- 20 %", Qes: "+- 10 %", Le: "+- 30 %", Sd: "+- 5 %", Mms: "+- 5 %" })).toMatch(/^box loss: none; Vas: 6\.\d+ L; /);
  });

  it("a driver's fs, Vas and Qs are what they say after the fit", async () => {
    for (const [key, factor] of [["fs", 1.1], ["Vas", 0.85], ["Qms", 0.8], ["Qes", 1.15], ["Qts", 1.1], ["Re", 1.05], ["Le", 1.2], ["Cms", 1.1], ["Rms", 1.2]] as const) {
      const { design, predict: words } = demo("closed-box");
      const why = await explain(predict(design, words).impedance, { design, predict: words }, { fit: { [key]: "+- 30 %" }, band: ["20 Hz", "300 Hz"], perOctave: 12 });
      // the truth of this change, put in by the same change
      const nominal = design.driver[key] as number;
      // straight lines between the points of the sweep cost the last digits
      expect(why.changes[0]!.value / nominal, key).toBeCloseTo(1, 3);
      const planted = designFromJson({ ...designToJson(design, {}), driver: { ...(designToJson(why.design, {})["driver"] as object), ...plantedDriver(design.driver as never, key, factor) } });
      const found = await explain(predict(planted.design, words).impedance, { design, predict: words }, { fit: { [key]: "+- 30 %" }, band: ["20 Hz", "300 Hz"], perOctave: 12 });
      expect(found.changes[0]!.value / nominal, key).toBeCloseTo(factor, 3);
      expect(found.design.driver[key]! / nominal, key).toBeCloseTo(factor, 3);
    }
  });

  it("refuses what is not there, ranges without width or without the design, and bands without points", async () => {
    const { design, predict: words } = demo("closed-box"), p = predict(design, words);
    const good = { fit: { leak: leakRange }, band } as const;
    const refused: readonly (readonly [RegExp, () => Promise<unknown>])[] = [
      [/did you mean "leak"/, () => explain(p.pressure, p, { ...good, fit: { leek: leakRange } })],
      [/no change of a closed box is called "constructor"/, () => explain(p.pressure, p, { ...good, fit: { constructor: "+- 1 %" } as never })],
      [/explain\.fit: .*nothing to fit/, () => explain(p.pressure, p, { ...good, fit: {} })],
      [/a range without width/, () => explain(p.pressure, p, { ...good, fit: { Qms: "+- 0 %" } })],
      [/a range that holds what the design has/, () => explain(p.pressure, p, { ...good, fit: { Bl: ["7 T m", "8 T m"] } })],
      [/a range is expected, such as/, () => explain(p.pressure, p, { ...good, fit: { Bl: 7 as never } })],
      [/above zero/, () => explain(p.pressure, p, { ...good, fit: { leak: ["0 Pa s/m^3", "1e6 Pa s/m^3"] } })],
      [/cannot be built/, () => explain(p.pressure, p, { ...good, fit: { volume: ["1 L", "1e9 L"] } })],
      [/a start below the end/, () => explain(p.pressure, p, { ...good, band: ["100 Hz", "50 Hz"] })],
      [/a band inside/, () => explain(p.pressure, p, { ...good, band: ["5 Hz", "50 Hz"] })],
      [/widen the band/, () => explain(p.pressure, p, { ...good, band: ["50 Hz", "51 Hz"] })],
      [/points for 4 changes/, () => explain(p.pressure, p, { fit: { leak: leakRange, Qms: "+- 5 %", Bl: "+- 5 %", fs: "+- 5 %" }, band: ["50 Hz", "70 Hz"], perOctave: 8, phase: false })],
      [/two frequencies are expected/, () => explain(p.pressure, p, { ...good, band: [] as never })],
      [/no option "bnd"; did you mean "band"/, () => explain(p.pressure, p, { ...good, bnd: 1 } as never)],
      [/not a finite number/, () => explain({ ...p.pressure, re: p.pressure.re.map((x, i) => (i === 40 ? NaN : x)) }, p, good)],
      [/a magnitude of zero/, () => explain({ ...p.pressure, re: new Float64Array(500), im: new Float64Array(500), phaseKnown: false }, p, good)],
      [/three points/, () => explain({ ...p.pressure, frequencies: Float64Array.of(30), re: Float64Array.of(1), im: Float64Array.of(0) }, p, good)],
      [/write await before it/, () => explain(Promise.resolve() as never, p, good)],
      [/a prediction, what readDesign gave/, () => explain(p.pressure, {} as never, good)],
      [/conditions beside a prediction/, () => explain(p.pressure, p, { ...good, conditions: {} })],
      [/a sweep of electrical impedance is expected/, () => explain({ impedance: p.pressure }, p, good)],
      [/a sweep of sound pressure or of electrical impedance/, () => explain(p.coneDisplacement, p, good)],
      [/a change of level is expected/, () => explain({ curve: p.pressure, relativeTo: "full scale" } as never, p, good)],
      [/"distance" is expected there/, () => explain(p.pressure, p, { ...good, fit: { listener: "+- 20 cm" } })],
      [/a room, or a cabin with a damping/, () => explain(p.pressure, p, { ...good, fit: { "space damping": ["0.5", "2"] } })],
      [/6 to 96 points/, () => explain(p.pressure, p, { ...good, perOctave: "24" as never })],
    ];
    for (const [message, act] of refused) {
      const error = await act().then(() => undefined, (e: unknown) => e);
      expect(error, String(message)).toBeInstanceOf(InputError);
      expect((error as Error).message, String(message)).toMatch(message);
    }
  });
});

/** A driver parameter by its factor as the data sheet of another driver would have it, the others of the mechanical set as they are. */
function plantedDriver(d: Record<"Re" | "Le" | "Bl" | "Mms" | "Cms" | "Rms" | "Qms" | "Qes" | "Qts", number>, key: string, x: number): object {
  switch (key) {
    case "fs": return { Cms: d.Cms / x ** 2 };
    case "Vas": return { Cms: d.Cms * x };
    case "Qms": return { Rms: d.Rms / x };
    case "Qes": return { Bl: d.Bl / Math.sqrt(x) };
    // Qes = 1 / (1 / Qts - 1 / Qms)
    case "Qts": return { Bl: d.Bl * Math.sqrt(d.Qes * (1 / (x * d.Qts) - 1 / d.Qms)) };
    default: return { [key]: d[key as "Re"] * x };
  }
}
