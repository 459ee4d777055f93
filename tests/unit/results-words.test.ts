import { inspect } from "node:util";
import { describe, expect, test } from "vitest";
import * as air from "../../kernel-helpers/index.js";
import type { Figure, View } from "../../kernel-helpers/show/view.js";
import { resultPlots } from "../../kernel-helpers/words/result-plots.js";
import { InputError } from "../../src/errors.js";
import type { Prediction } from "../../src/predict/predict.js";

const woofer = air.driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" });
const horn = air.path({ flare: "conical", stations: [{ at: 0, area: "70 cm^2" }, { at: "2.4 m", area: "300 cm^2" }], wallLoss: false });
const frequencies = "20:300:60";
const tapped = air.predict(air.tappedHorn({ driver: woofer, path: horn, frontTap: "9 cm", backTap: "2.2 m" }), { frequencies });
const vented = air.predict(air.ventedBox({ driver: woofer, volume: "14 L", port: { diameter: "60 mm", tuning: "48 Hz" } }), { frequencies });
const closed = air.predict(air.closedBox({ driver: woofer, volume: "9 L" }), { frequencies });

/** Every number of every figure is finite or a gap on purpose, on axes that have names. */
function sound(views: readonly View[]): void {
  expect(views.length).toBeGreaterThan(0);
  for (const view of views) {
    expect(view.title).not.toMatch(/undefined|NaN/);
    if (view.kind === "table") expect(view.rows.flat().join(" ")).not.toMatch(/undefined|NaN|Infinity/);
    if (view.kind !== "figure") continue;
    for (const panel of view.panels) {
      expect(panel.quantity).not.toBe("");
      for (const trace of panel.traces) expect(trace.y.every(Number.isFinite), `${view.title}: ${trace.name}`).toBe(true);
      if (panel.map) expect(panel.map.values.every(Number.isFinite), view.title).toBe(true);
      if (panel.map) expect(panel.map.values).toHaveLength(panel.map.x.length * panel.map.y.length);
      for (const axis of panel.map ? [panel.map.x, panel.map.y] : []) axis.forEach((x, i) => expect(i === 0 || x > axis[i - 1]!).toBe(true));
    }
    if (view.slider) for (const state of view.slider.states) expect(state.y.map((y) => y.length)).toEqual(view.panels.flatMap((p) => p.traces.map((t) => t.y.length)));
  }
}

const needsDuct = new Set(["alongPath", "snapshot"]);

describe("plots of a prediction", () => {
  test.each(Object.keys(resultPlots) as (keyof typeof resultPlots)[])("%s", (key) => {
    for (const p of [tapped, vented]) sound(p.plots[key].views());
    if (needsDuct.has(key)) expect(() => closed.plots[key].views()).toThrow(/has no duct/);
    else sound(closed.plots[key].views());
    expect(inspect(tapped.plots[key])).toContain(`plot: ${resultPlots[key].title} of "tapped horn"`);
  });

  test("everything is all of them, along the path where there is one", () => {
    const titles = (p: Prediction & { plots: { everything: { views: () => readonly View[] } } }): string[] => p.plots.everything.views().filter((v) => v.kind === "figure").map((v) => v.title.replace(/: .*/, ""));
    const all = titles(tapped);
    expect(new Set(all).size).toBe(all.length);
    expect(all.filter((t) => !titles(closed).includes(t)).map((t) => t.replace(/ [\d.]+ Hz/, " f"))).toEqual(["Air speed at the openings, peak", "Sound pressure along the path", "Particle velocity along the path", "Sound pressure along the path by frequency", "Along the path at f", "Largest pressure on the panels"]);
  });

  test("lie over each other in a comparison, colours one after the other", () => {
    const { plots } = air.compare(tapped, vented);
    const [step] = plots.step.views() as Figure[];
    expect(step!.panels[0]!.traces.map((t) => [t.name, t.role])).toEqual([["tapped horn", "prediction"], ["vented box", "comparison"]]);
    expect((plots.excessPhase.views()[0] as Figure).panels[0]!.traces).toHaveLength(2);
    expect(plots.decay.views().map((v) => v.title)).toEqual(["Cumulative spectral decay: tapped horn", "Cumulative spectral decay: vented box"]);
  });
});

describe("words for results", () => {
  test("take units", () => {
    const response = air.impulseResponse(closed, { top: "400 Hz", duration: "250 ms" });
    expect(response.top).toBe(400);
    expect(response.time[response.time.length - 1]!).toBeGreaterThan(0.25);
    expect(response.views().map((v) => v.title)).toEqual(["Impulse response at the listener: closed box", "Step response at the listener: closed box"]);
    const decay = air.cumulativeDecay(closed, { frequencies: "30:200:20", until: "80 ms", rise: "4 ms" });
    expect([decay.frequencies.length, decay.time.length, decay.time[80]]).toEqual([20, 81, 0.08]);
    expect(decay.window).toContain("4 ms");
    expect(air.shortTimeSpectrum(closed, { length: "60 ms" }).window).toContain("60 ms");
    expect(air.shortTimeSpectrum(closed, {}).window).toContain("100 ms");
    expect(Math.max(...air.minimumPhase(closed).excessPhase.map(Math.abs))).toBeLessThan(1e-3);
    const field = air.alongPath(vented, { frequencies: [40, 50], step: "1 cm", duct: "port" });
    expect(field.frequencies).toEqual(Float64Array.of(40, 50));
    sound(field.views());
    const still = air.snapshot(tapped, { frequency: "52 Hz" });
    expect(still.frequencies).toEqual(Float64Array.of(52));
    expect(still.views()[0]!.title).toBe("Along the path at 52 Hz: tapped horn");
  });

  test("hold what they say", () => {
    const parts = air.openingContributions(vented).openings, f = 20;
    expect(parts.reduce((sum, p) => sum + p.pressure.re[f]!, 0)).toBeCloseTo(vented.pressure.re[f]!, 12);
    const power = air.powerFlow(tapped);
    expect(power.losses.every((w, i) => Math.abs(w) < 1e-9 * power.terminals[i]!)).toBe(true);
    // no walls, no leak: no line for what is rounding
    expect((power.views()[0] as Figure).panels[0]!.traces.map((t) => t.name)).toEqual(["into the terminals", "heat in the voice coil", "heat in the suspension", "radiated, mouth"]);
    expect(air.coneLoad(tapped).cones.map((c) => c.name)).toEqual(["driver"]);
    const panels = air.panelPressure(vented);
    expect(panels.chambers.map((c) => c.name)).toEqual(["box"]);
    const table = panels.views().at(-1)!;
    expect(table.kind === "table" && table.columns).toContain("force on a panel of 10 cm by 10 cm");
    // 10 cm by 10 cm are 0.01 m^2
    expect(table.kind === "table" && table.rows.at(-1)).toEqual(["box", expect.stringMatching(/Pa peak$/), expect.stringMatching(/Hz$/), expect.stringMatching(/N peak$/)]);
  });

  test("a snapshot stands where the pressure is largest when no frequency is given", () => {
    const field = air.alongPath(tapped), still = air.snapshot(tapped);
    let top = 0, at = 0;
    field.pressureRe.forEach((re, k) => {
      const size = Math.hypot(re, field.pressureIm[k]!);
      if (size > top) [top, at] = [size, field.frequencies[k % field.frequencies.length]!];
    });
    expect(still.frequencies[0]).toBe(at);
  });

  test("refuse what is misspelt, of another unit, or no prediction", () => {
    const wrong: readonly (readonly [() => unknown, RegExp])[] = [
      [() => air.impulseResponse(closed, { topp: 5 } as never), /impulseResponse: no option "topp"; did you mean "top"/],
      [() => air.impulseResponse(closed, { top: "5 ms" }), /impulseResponse.top/],
      [() => air.cumulativeDecay(closed, { rise: "5 Hz" }), /cumulativeDecay.rise/],
      [() => air.cumulativeDecay(closed, { length: "5 ms" } as never), /no option "length"/],
      [() => air.cumulativeDecay(closed, { until: 0 }), /cumulativeDecay.until/],
      [() => air.shortTimeSpectrum(closed, { length: -1 }), /shortTimeSpectrum.length/],
      [() => air.alongPath(tapped, { step: "1 L" }), /alongPath.step/],
      [() => air.alongPath(tapped, { duct: "nowhere" }), /alongPath.duct: "nowhere"/],
      [() => air.alongPath(tapped, { frequencies: "30:20:5" }), /alongPath.frequencies/],
      [() => air.alongPath(closed), /has no duct/],
      [() => air.snapshot(tapped, { frequency: "0 Hz" }), /snapshot.frequency/],
      [() => air.snapshot(tapped, { frequencies: "20:30:4" } as never), /did you mean "frequency"/],
    ];
    for (const [run, message] of wrong) {
      expect(run).toThrow(InputError);
      expect(run).toThrow(message);
    }
    for (const word of [air.impulseResponse, air.cumulativeDecay, air.shortTimeSpectrum, air.minimumPhase, air.alongPath, air.snapshot, air.powerFlow, air.openingContributions, air.coneLoad, air.panelPressure]) {
      expect(() => word(woofer as never)).toThrow(/something that is not a prediction/);
    }
  });
});
