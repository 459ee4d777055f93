import { describe, expect, it } from "vitest";
import { driver } from "../../kernel-helpers/words/driver.js";
import { tappedHorn } from "../../kernel-helpers/words/enclosures.js";
import { transmissionLine } from "../../kernel-helpers/words/lines.js";
import { path } from "../../kernel-helpers/words/path.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import type { DuctElement } from "../../src/acoustics/network.js";
import { alongPath } from "../../src/predict/along-path.js";

const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", impedance: "4 ohm" });
const way = { stations: [{ at: 0, area: "200 cm^2" }, { at: "2 m", area: "130 cm^2" }] };
const line = transmissionLine({
  driver: woofer, path: way, driverAt: "45 cm",
  fill: [{ to: "60 cm", flowResistivity: "6000 Pa s/m^2" }, { from: "60 cm", to: "1.2 m", flowResistivity: "2500 Pa s/m^2" }, { from: "1.5 m", to: "1.8 m", flowResistivity: 1000, law: "Miki" }],
});
const common = { law: "Johnson-Champoux-Allard" };

describe("fill of a transmission line by section", () => {
  it("stands in the network where it was put, cut at the driver", () => {
    const ducts = line.network.elements.filter((e): e is DuctElement => e.kind === "duct");
    const stretches = ducts.flatMap((d) => d.sections.map((s) => [Number(s.length.toFixed(9)), s.flare === "turn" ? undefined : s.fill?.flowResistivity]));
    expect(stretches).toEqual([[0.45, 6000], [0.15, 6000], [0.6, 2500], [0.3, undefined], [0.3, 1000], [0.2, undefined]]);
  });

  it("is told by the design: in order, with its law, its table and its panel", () => {
    expect(line.filled).toEqual([
      { from: 0, to: expect.closeTo(0.6, 12), fill: { flowResistivity: 6000, ...common } },
      { from: expect.closeTo(0.6, 12), to: expect.closeTo(1.2, 12), fill: { flowResistivity: 2500, ...common } },
      { from: expect.closeTo(1.5, 12), to: expect.closeTo(1.8, 12), fill: { flowResistivity: 1000, law: "Miki" } },
    ]);
    const [, figure, table] = line.views() as [Table, Figure, Table];
    const panel = figure.panels[1]!;
    expect([panel.quantity, panel.unit]).toEqual(["flow resistivity of the fill", "Pa s/m^2"]);
    const rounded = (values: Float64Array): number[] => Array.from(values, (v) => Number(v.toFixed(9)));
    expect(rounded(panel.traces[0]!.x)).toEqual([0, 0, 0, 0.6, 0.6, 0.6, 0.6, 1.2, 1.2, 1.5, 1.5, 1.8, 1.8, 2]);
    expect(rounded(panel.traces[0]!.y)).toEqual([0, 0, 6000, 6000, 0, 0, 2500, 2500, 0, 0, 1000, 1000, 0, 0]);
    expect(table.rows).toEqual([["0 m", "600 mm", "6000 Pa s/m^2", "Johnson-Champoux-Allard"], ["600 mm", "1.2 m", "2500 Pa s/m^2", "Johnson-Champoux-Allard"], ["1.5 m", "1.8 m", "1000 Pa s/m^2", "Miki"]]);
    expect((transmissionLine({ driver: woofer, path: way }).views()[1] as Figure).panels).toHaveLength(1);
  });

  it("has its edges in plots along the path", () => {
    const marks = alongPath(predict(line, { frequencies: "40:200:4" })).marks.map(({ name, at }) => [name, Number(at.toFixed(9))]);
    expect(marks).toEqual([["closed end", 0], ["tap", 0.45], ["change of fill", 0.6], ["edge of the fill", 1.2], ["edge of the fill", 1.5], ["edge of the fill", 1.8], ["mouth", 2]]);
  });

  it("by stretches goes over that of the stations, and a path shows its own", () => {
    const filled = path({ stations: [{ at: 0, area: "200 cm^2", fill: { flowResistivity: 3000 } }, { at: "1 m", area: "160 cm^2" }, { at: "2 m", area: "130 cm^2" }] });
    expect((filled.views()[0] as Figure).panels[1]!.traces[0]!.y).toEqual(Float64Array.of(0, 0, 3000, 3000, 0, 0));
    const horn = tappedHorn({ driver: woofer, path: filled, frontTap: "9 cm", backTap: "1.8 m", fill: [{ from: "50 cm", to: "1.5 m", flowResistivity: 500 }] });
    expect(horn.filled!.map(({ from, to, fill }) => [Number(from.toFixed(9)), Number(to.toFixed(9)), fill.flowResistivity])).toEqual([[0, 0.5, 3000], [0.5, 1.5, 500]]);
  });

  it("takes sound out of the upper resonances of the line, the denser the more", () => {
    const frequencies = Array.from({ length: 60 }, (_, i) => 90 + 5 * i);
    const level = (fill?: object[]): number[] => [...predict(transmissionLine({ driver: woofer, path: way, driverAt: 0, ...(fill === undefined ? {} : { fill: fill as never }) }), { frequencies }).level];
    // hills and hollows, not the slope: mean of the second difference, dB
    const ripple = (values: number[]): number => values.slice(2).reduce((sum, v, i) => sum + Math.abs(v - 2 * values[i + 1]! + values[i]!), 0) / (values.length - 2);
    const none = ripple(level()), light = ripple(level([{ flowResistivity: 800 }])), dense = ripple(level([{ flowResistivity: 4000 }]));
    expect(light).toBeLessThan(none / 2);
    expect(dense).toBeLessThan(light / 2);
  });

  it("refuses by its place what does not fit", () => {
    const wrong = (fill: unknown): (() => unknown) => () => transmissionLine({ driver: woofer, path: way, fill: fill as never });
    expect(wrong([{ from: "1 m", to: "3 m", flowResistivity: 1000 }])).toThrow(/^transmissionLine\.fill\[0\]: 1 m to 3 m; a stretch within 0 m to 2 m/);
    expect(wrong([{ flowResistivity: 1000, porosity: 1.2 }])).toThrow(/^transmissionLine\.fill\[0\]\.porosity: 1\.2 is more than any enclosure has/);
    expect(wrong([{ flowResistivity: 1000, law: "Miki", viscousLength: "0.2 mm" }])).toThrow(/^transmissionLine\.fill\[0\]\.viscousLength: "0\.2 mm" with the law "Miki"/);
    expect(wrong([{ flowResistivity: 1000, tortuosity: 0.5 }])).toThrow(/^transmissionLine\.fill\[0\]\.tortuosity/);
    expect(wrong([{ flowResistivity: 1000, thermalLength: "1 m" }])).toThrow(/^transmissionLine\.fill\[0\]\.thermalLength/);
    expect(wrong([{ flowResistivity: 1000, viscousLength: "0.3 mm", thermalLength: "0.2 mm" }])).toThrow(/^transmissionLine\.fill\[0\]\.thermalLength: "0\.2 mm", below the viscous length "0\.3 mm"/);
    expect(wrong([{ flowResistivity: 1000, law: "Biot" }])).toThrow(/one of "Johnson-Champoux-Allard", "Miki", "Delany-Bazley" is expected/);
  });
});
