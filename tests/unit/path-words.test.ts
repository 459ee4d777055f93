import { describe, expect, it } from "vitest";
import { path, type PathOptions } from "../../kernel-helpers/words/path.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { tappedHorn } from "../../kernel-helpers/words/enclosures.js";
import { designFromJson, designToJson } from "../../kernel-helpers/words/design-json.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { tractrixLength } from "../../src/acoustics/flares/tractrix.js";
import { pathLength, pathVolume, sectionsBetween } from "../../src/acoustics/path.js";
import { turnSections } from "../../src/acoustics/turn.js";

const turn = { before: "56 mm", after: "64 mm", gap: "55 mm", divider: "12 mm" } as const;
const si = { before: 0.056, after: 0.064, gap: 0.055, divider: 0.012 };
const run = { length: "460 mm", from: "100.8 cm^2" } as const, next = { length: "400 mm", from: "115.2 cm^2" } as const;
const folded = (piece: object, more: object = {}): PathOptions => ({ depth: "180 mm", flare: "uniform", pieces: [run, piece, next], ...more }) as PathOptions;
const woofer = driver({ Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m" });

describe("a turn as a piece of a path", () => {
  it("is two refined halves of its effective length and area", () => {
    const p = path(folded({ what: "inner turn", turn }));
    const [first, second] = turnSections(si, { depth: 0.18 });
    expect(sectionsBetween(p, 0, pathLength(p)).map((s) => s.flare)).toEqual(["uniform", "turn", "turn", "uniform"]);
    expect(pathLength(p)).toBeCloseTo(0.46 + first!.length + second!.length + 0.4, 12);
    expect(pathVolume(p)).toBeCloseTo(0.46 * 0.01008 + 0.18 * 0.055 * (0.056 + 0.064 + 0.012) + 0.4 * 0.01152, 12);
    // a tap inside a half cuts it into uniform ducts of the same volume
    const cut = [...sectionsBetween(p, 0, 0.46 + first!.length / 2), ...sectionsBetween(p, 0.46 + first!.length / 2, pathLength(p))];
    expect(cut.map((s) => s.flare)).toEqual(["uniform", "uniform", "uniform", "turn", "uniform"]);
  });

  it("is plain ducts in the effective model and round a thick divider", () => {
    const effective = path(folded({ turn: { ...turn, model: "effective" } }));
    expect(sectionsBetween(effective, 0, pathLength(effective)).map((s) => s.flare)).toEqual(["uniform", "uniform", "uniform", "uniform"]);
    expect(pathLength(effective)).toBe(pathLength(path(folded({ turn }))));
    const thick = path(folded({ turn: { ...turn, divider: "60 mm" } }));
    expect(sectionsBetween(thick, 0, pathLength(thick))).toHaveLength(5);
  });

  it("reads its fields with units and names what is wrong", () => {
    const refused: [PathOptions, RegExp][] = [
      [folded({ turn }, { depth: undefined }), /^path\.pieces\[1\]\.turn: a turn in a path without depth; a depth of the path is expected/],
      [folded({ turn: { ...turn, gap: undefined } }), /^path\.pieces\[1\]\.turn\.gap: nothing/],
      [folded({ turn: { ...turn, gap: "0 mm" } }), /^path\.pieces\[1\]\.turn\.gap: 0 m/],
      [folded({ turn: { ...turn, cut: "80 mm" } }), /^path\.pieces\[1\]\.turn\.cut: 0.08 m; at most the smallest of heights and gap, 0.055 m/],
      [folded({ turn: { ...turn, gapp: 1 } }), /^path\.pieces\[1\]\.turn: no option "gapp"; did you mean "gap"\?/],
      [folded({ turn: { ...turn, model: "rough" } }), /^path\.pieces\[1\]\.turn\.model: "rough"; one of "refined", "effective"/],
      [folded({ turn, length: "1 m" }), /^path\.pieces\[1\]\.length: "1 m" beside a turn/],
      [folded({ turn, fill: { flowResistivity: 500 } }), /^path\.pieces\[1\]\.fill: a fill in a refined turn.*model: "effective"/],
      [folded({ turn: null }), /^path\.pieces\[1\]\.turn/],
      [folded({ length: "1 m" }), /^path\.pieces\[1\]\.from: nothing/],
    ];
    for (const [options, message] of refused) expect(() => path(options), String(message)).toThrow(message);
  });
});

describe("flares, tables and fills of a path", () => {
  const at = (flare: object): PathOptions => ({ stations: [{ at: 0, area: "100 cm^2", ...flare }, { at: "1.2 m", area: "1600 cm^2" }] }) as PathOptions;

  it("takes the hyperbolic family", () => {
    expect(path(at({ flare: "catenoidal" })).stations[0]).toEqual({ at: 0, area: 0.01, flare: "hyperbolic", shape: 0 });
    expect(path(at({ flare: "hyperbolic", shape: "0.6" })).stations[0]!.shape).toBe(0.6);
    expect(path({ ...at({}), flare: "hyperbolic", shape: 0.3 }).stations[0]).toMatchObject({ flare: "hyperbolic", shape: 0.3 });
    expect(() => path(at({ flare: "hyperbolic" }))).toThrow(/^path\.stations\[0\]\.shape: nothing/);
    expect(() => path(at({ flare: "conical", shape: 1 }))).toThrow(/^path\.stations\[0\]\.shape: 1 with the flare "conical"/);
    expect(() => path(at({ flare: "hyperbolic", shape: -1 }))).toThrow(/^path\.stations\[0\]\.shape/);
    expect(() => path(at({ flare: "bell" }))).toThrow(/^path\.stations\[0\]\.flare: "bell"; one of/);
  });

  it("takes a tractrix and a measured table, and only one way at a time", () => {
    const horn = path({ tractrix: { throat: "25 cm^2", mouth: "1200 cm^2" } });
    expect(pathLength(horn)).toBe(tractrixLength(0.0025, 0.12));
    expect(horn.stations.length).toBeGreaterThan(16);
    const table = path({ table: [{ at: 0, area: "40 cm^2" }, { at: "30 cm", area: "60 cm^2" }, { at: "80 cm", area: "300 cm^2" }] });
    expect(table.stations.find((s) => s.at === 0.3)!.area).toBe(0.006);
    expect(() => path({ tractrix: { throat: "25 cm^2", mouth: "1 cm^2" } })).toThrow(/^path\.tractrix\.mouth/);
    expect(() => path({ tractrix: { throat: "25 cm^2" } as never })).toThrow(/^path\.tractrix\.mouth: nothing/);
    expect(() => path({ table: [{ at: 0, area: 1 }, { at: 0, area: 1 }] })).toThrow(/^path\.table\[1\]\.at/);
    expect(() => path({ table: [], tractrix: { throat: 1, mouth: 2 } })).toThrow(/both table and tractrix/);
    expect(() => path({ tractrix: { throat: 0.01, mouth: 0.2 }, flare: "conical" })).toThrow(/^path\.flare: "conical" beside a tractrix/);
    expect(() => path({})).toThrow(/neither stations, pieces, table nor tractrix/);
  });

  it("reads a fill with its law", () => {
    const filled = path(at({ fill: { flowResistivity: "4000 Pa s/m^2" } }));
    expect(sectionsBetween(filled, 0, 0.5)[0]).toMatchObject({ fill: { flowResistivity: 4000, law: "Johnson-Champoux-Allard" } });
    expect(() => path(at({ fill: { flowResistivity: "4000 Pa s/m^3" } }))).toThrow(/^path\.stations\[0\]\.fill\.flowResistivity/);
    expect(() => path(at({ fill: { flowResistivity: 400, law: "Biot" } }))).toThrow(/^path\.stations\[0\]\.fill\.law/);
    expect(() => path(at({ fill: 400 }))).toThrow(/^path\.stations\[0\]\.fill/);
  });
});

describe("a horn with turns, fills and flares", () => {
  const horn = path(folded({ turn: { ...turn, cut: "10 mm" } }, { pieces: [run, { turn: { ...turn, cut: "10 mm" } }, { ...next, to: "140 cm^2", flare: "hyperbolic", shape: 2, fill: { flowResistivity: 900, law: "Miki" } }] }));
  const box = tappedHorn({ driver: woofer, path: horn, frontTap: "9 cm", backTap: "80 cm" });

  it("comes back from a design file as it was", () => {
    const back = designFromJson(JSON.parse(JSON.stringify(designToJson(box, {})))).design;
    expect(back.path).toEqual(box.path);
    expect(back.network).toEqual(box.network);
  });

  it("says where its turns and its fill leave what they were made for", () => {
    const texts = (frequencies: string): string => predict(box, { frequencies }).notes.map((n) => n.text).join("\n");
    expect(texts("20:300:5")).not.toMatch(/law of Miki/);
    expect(texts("20:300:5")).not.toMatch(/0\.15 wavelengths/);
    expect(texts("20:1500:5")).toMatch(/above 804 Hz the runs at a turn \(64 mm\) are higher than 0\.15 wavelengths/);
    expect(texts("2:300:5")).toMatch(/law of Miki was fitted from 9 Hz to 900 Hz; below that it is extrapolated/);
  });
});
