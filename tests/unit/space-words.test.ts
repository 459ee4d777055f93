import { describe, expect, it } from "vitest";
import { textLines } from "../../kernel-helpers/show/text.js";
import { designFromJson, designToJson } from "../../kernel-helpers/words/design-json.js";
import { predictDesignFile } from "../../kernel-helpers/words/design-file.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { openBaffle } from "../../kernel-helpers/words/lines.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { type NotebookSpace, space } from "../../kernel-helpers/words/space.js";
import { InputError } from "../../src/errors.js";
import { makeCurve } from "../../src/math/curve.js";

const woofer = driver({ name: "invented 130 mm", Re: "3.5 ohm", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m" });
const box = closedBox({ driver: woofer, volume: "9 L" });
const vented = ventedBox({ driver: woofer, volume: "14 L", port: { diameter: "60 mm", tuning: "48 Hz" } });

const roomWords = { size: ["5 m", 4, "2.5 m"], box: ["40 cm", 0.5, 0.3], listener: [3.4, 2, "1.2 m"], reverberation: "0.5 s" } as const;
const cabinWords = { length: "2.4 m", width: "1.4 m", height: "1.1 m", box: [0.3, 0.4, 0.3], listener: [1.5, 0.4, 0.9] } as const;
const profileWords = { profile: [[0, "30 cm"], ["0.92 m", 0.3], [0.98, 0.08], [2.36, 0.08], [2.66, 0.44], [2.31, 0.8], [1.74, 1.21], [0.52, 1.23], [0.04, 0.78]], width: "1.34 m", box: [0.26, 0.24, 0.44], listener: ["1.62 m", 0.36, 0.98] } as const;

function errorOf(run: () => unknown): InputError | undefined {
  try {
    run();
    return undefined;
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

describe("spaces by word", () => {
  const made: Record<string, NotebookSpace> = {
    free: space.free("half"),
    "free with places": space.free("full", { places: { port: [0, "20 cm", 0] }, listener: ["2 m", 0, 0] }),
    walls: space.walls({ rear: "0.4 m", floor: "30 cm", places: { cone: [0, 0, "-0.1 m"] } }),
    room: space.room(roomWords),
    "room with absorption": space.room({ ...roomWords, reverberation: undefined, absorption: [[63, 0.1], ["0.5 kHz", "25 %"]], places: { port: [0.4, 0.7, 0.2] } } as never),
    cabin: space.cabin(cabinWords),
    "cabin with everything": space.cabin({ ...cabinWords, volume: "3.1 m^3", leak: "5000 Pa s/m^3", damping: "15 %", modes: [{ order: [1, 0, 0], frequency: "77 Hz" }], flex: { area: "8 m^2", resistance: "2e4 Pa s/m", mass: "6 kg/m^2", stiffness: "2e5 Pa/m", sides: ["length"] } }),
    "cabin with a profile": space.cabin(profileWords),
    "cabin with a profile and everything": space.cabin({ ...profileWords, volume: "2.8 m^3", leak: "5000 Pa s/m^3", damping: "15 %", modes: [{ order: [1, 0], frequency: "74 Hz" }], flex: { resistance: "2e4 Pa s/m", mass: "6 kg/m^2", sides: ["length", "height"] }, places: { port: [0.26, 0.4, 0.44] } }),
    measured: space.measured({ transfer: { frequencies: [20, 200], level: [12, -3] }, free: "quarter" }),
  };

  it("are units and numbers alike", () => {
    expect(space.room({ ...roomWords, size: [5, "400 cm", 2.5], box: [0.4, "0.5 m", 0.3], reverberation: 0.5 }).recipe).toEqual(made["room"]!.recipe);
    expect(made["cabin with everything"]!.recipe).toMatchObject({ volume: 3.1, leak: 5000, damping: 0.15, flex: { area: 8, resistance: 2e4, mass: 6, stiffness: 2e5, sides: ["length"] } });
    expect(made["room with absorption"]!.recipe["absorption"]).toEqual([[63, 0.1], [500, 0.25]]);
  });

  it.each(Object.keys(made))("%s: shows facts and places, says one line, goes into a prediction and a design file and back", (name) => {
    const place = made[name]!;
    const views = place.views();
    expect(views[0]!.kind).toBe("table");
    for (const view of views) if (view.kind === "figure") for (const panel of view.panels) for (const trace of panel.traces) expect(trace.x.length).toBe(trace.y.length);
    const says = (place as unknown as Record<symbol, () => string>)[Symbol.for("nodejs.util.inspect.custom")]!();
    expect(says).toMatch(/^space: /);
    const heard = predict(vented, { in: place, frequencies: "20:200:20" });
    expect(heard.level.every(Number.isFinite)).toBe(true);
    expect(heard.space).toBe(place);
    const file = JSON.parse(JSON.stringify(designToJson(vented, { in: place, frequencies: "20:200:20" }))) as Record<string, unknown>;
    const again = predictDesignFile(designFromJson(file));
    expect([...again.level]).toEqual([...heard.level]);
    expect((again.space as NotebookSpace).recipe).toEqual(place.recipe);
    // the name of another space on the command line takes its place
    expect(predictDesignFile(designFromJson(file), { space: "eighth" }).space.name).toBe("eighth space");
  });

  it("draw the profile of a cabin with its first modes, and list modes by number in the profile and order across", () => {
    const views = made["cabin with a profile and everything"]!.views();
    const plan = views.find((view) => view.kind === "figure" && view.title.startsWith("Places"));
    const walls = plan?.kind === "figure" ? plan.panels[1]!.traces.find((trace) => trace.name === "walls") : undefined;
    // a line of full strength, which grid lines are not
    expect(walls!.role).not.toBe("faint");
    for (const place of Object.values(made)) expect(JSON.stringify(place.views().filter((view) => view.kind === "table"))).not.toContain("-0.00");
    expect([...walls!.x]).toEqual([0, 0.92, 0.98, 2.36, 2.66, 2.31, 1.74, 0.52, 0.04, 0]);
    const modes = views.find((view) => view.kind === "table" && view.title.startsWith("First modes"));
    expect(modes?.kind === "table" ? modes.rows[0]!.slice(0, 2) : []).toEqual(["(1, 0)", "74 Hz"]);
    const shapes = views.find((view) => view.kind === "figure" && view.title.startsWith("First modes of the profile"));
    const map = shapes?.kind === "figure" ? shapes.panels[0]!.map! : undefined;
    const inside = [...map!.values].filter(Number.isFinite);
    // the part of the box around it that the profile fills
    expect(inside.length / map!.values.length).toBeCloseTo(2.306 / (2.66 * 1.15), 1);
    expect(Math.max(...inside.map(Math.abs))).toBeGreaterThan(0.9);
    expect(Math.max(...inside.map(Math.abs))).toBeLessThan(1.02);
    const notes = predict(vented, { in: made["cabin with a profile"]!, frequencies: [100, 800] }).notes.map((note) => note.text).join();
    expect(notes).toContain("not worked out");
  });

  it("are in the subtitle and the distance of a prediction", () => {
    const heard = predict(box, { in: made["room"]!, frequencies: [50, 60] });
    expect(heard.distance).toBeCloseTo(Math.hypot(3, 1.5, 0.9), 12);
    const [figure] = heard.plots.level.views();
    expect(figure).toMatchObject({ kind: "figure", subtitle: expect.stringContaining("room of 5 m x 4 m x 2.5 m") });
    expect(predict(box, { in: made["walls"]!, distance: "2 m", frequencies: [50] }).distance).toBe(2);
  });

  it("change what is heard: a sealed cabin gains 12 dB an octave downwards, its leak takes it back", () => {
    const at = { frequencies: [5, 10] };
    const sealed = predict(box, { in: made["cabin"]!, ...at }), half = predict(box, { space: "half", ...at });
    const gain = [0, 1].map((i) => sealed.level[i]! - half.level[i]!);
    expect(gain[0]! - gain[1]!).toBeGreaterThan(11.5);
    const leaking = predict(box, { in: space.cabin({ ...cabinWords, leak: 800 }), ...at });
    expect(sealed.level[0]! - leaking.level[0]!).toBeGreaterThan(3);
  });

  it("load the box: the stiffness of a small cabin raises the resonance of a closed box", () => {
    const f = Array.from({ length: 400 }, (_, i) => 60 + 0.15 * i);
    const peak = (p: { readonly impedance: { readonly re: Float64Array; readonly im: Float64Array } }): number => f[f.reduce((best, _, i) => (Math.hypot(p.impedance.re[i]!, p.impedance.im[i]!) > Math.hypot(p.impedance.re[best]!, p.impedance.im[best]!) ? i : best), 0)]!;
    const small = space.cabin({ ...cabinWords, length: "0.5 m", width: "0.5 m", height: "0.4 m", damping: 0.1, box: [0.1, 0.25, 0.2], listener: [0.4, 0.25, 0.2] });
    const free = peak(predict(box, { frequencies: f })), stiff = peak(predict(box, { in: small, frequencies: f }));
    // air of 9 L beside the suspension on one side, 100 L more on the other, from the compliances in series: fc^2 grows by what 100 L adds
    const air = 1.2041 * 343.2 ** 2 * woofer.Sd ** 2, suspension = 1 / woofer.Cms;
    const wanted = free * Math.sqrt((suspension + air / 0.009 + air / 0.1) / (suspension + air / 0.009));
    expect(stiff / wanted).toBeGreaterThan(0.985);
    expect(stiff / wanted).toBeLessThan(1.015);
  });

  it("say which places are not used, which openings overlap, and where the picture of the space ends", () => {
    const notes = (place: NotebookSpace, frequencies = "20:400:10"): string => predict(vented, { in: place, frequencies }).notes.map((note) => note.text).join("\n");
    expect(notes(space.room({ ...roomWords, places: { prot: [1, 1, 1] } }))).toContain('no opening called "prot"');
    expect(notes(space.room({ ...roomWords, places: { port: [0.4, 0.5, 0.3], cone: [0.4, 0.51, 0.3] } }))).toContain("nearer than two circles");
    expect(notes(made["room"]!)).toContain("Schroeder");
    const { soundSpeed } = predict(vented, { in: made["cabin"]!, frequencies: "20:400:10" }).air;
    // the first mode of a rectangle of this length: c / (2 L)
    expect(notes(made["cabin"]!)).toContain(`above ${Number((soundSpeed / (2 * Number.parseFloat(String(cabinWords.length)))).toPrecision(3))} Hz, its first mode`);
    expect(notes(made["measured"]!)).toMatch(/outside the measured 20 Hz to 200 Hz[\s\S]*phase of the place was not measured/);
    expect(notes(made["measured"]!, "30:100:5")).not.toContain("outside");
  });

  it("take an open baffle with its back behind it, and hear it as a dipole", () => {
    const baffle = openBaffle({ driver: woofer, baffle: { width: "40 cm", height: "60 cm" } });
    const room = (listener: readonly [number, number, number]) => space.room({ size: [9, 8, 7], box: [4, 4, 3.5], listener, absorption: 0.9, law: "Eyring" });
    const front = predict(baffle, { in: room([6, 4, 3.5]), frequencies: [100] }), beside = predict(baffle, { in: room([4, 6, 3.5]), frequencies: [100] });
    expect(front.level[0]! - beside.level[0]!).toBeGreaterThan(6);
  });
});

describe("measured places", () => {
  const f = Float64Array.of(20, 40, 80, 160);
  const curve = (name: string, unit: "Pa" | "ratio", db: readonly number[], degrees: readonly number[]) =>
    makeCurve({ name, quantity: unit === "Pa" ? "sound pressure" : "correction", unit, frequencies: f, re: Float64Array.from(db, (x, i) => (unit === "Pa" ? 20e-6 : 1) * 10 ** (x / 20) * Math.cos((degrees[i]! * Math.PI) / 180)), im: Float64Array.from(db, (x, i) => (unit === "Pa" ? 20e-6 : 1) * 10 ** (x / 20) * Math.sin((degrees[i]! * Math.PI) / 180)), phaseKnown: true });

  it("add their level, between points over the logarithm of frequency", () => {
    const place = space.measured({ transfer: { frequencies: [20, 80], level: [10, -2] }, free: "half" });
    const [a, b] = [predict(box, { in: place, frequencies: [20, 40, 80] }), predict(box, { frequencies: [20, 40, 80] })];
    [10, 4, -2].forEach((db, i) => expect(a.level[i]! - b.level[i]!).toBeCloseTo(db, 9));
  });

  it("come from a relative sweep, or from two sweeps of sound pressure; both ways are the same", () => {
    const relative = space.measured({ transfer: curve("seat", "ratio", [12, 6, 3, -1], [10, 170, 350, 500]) });
    const inside = curve("seat", "Pa", [92, 96, 93, 90], [100, 290, 420, 590]), outside = curve("yard", "Pa", [80, 90, 90, 91], [90, 120, 70, 90]);
    const divided = space.measured({ transfer: { curve: inside }, reference: { curve: outside } });
    const at = { frequencies: [25, 40, 75, 150] };
    const a = predict(box, { in: relative, ...at }), b = predict(box, { in: divided, ...at });
    at.frequencies.forEach((_, i) => expect(a.level[i]).toBeCloseTo(b.level[i]!, 6));
    expect(errorOf(() => space.measured({ transfer: inside }))?.where).toBe("space.measured.transfer");
    expect(errorOf(() => space.measured({ transfer: Promise.resolve() as never }))?.hint).toContain("await");
  });
});

describe("errors name the field", () => {
  const cases: readonly (readonly [what: string, run: () => unknown, where: string])[] = [
    ["a misspelt option", () => space.room({ ...roomWords, sise: 1 } as never), "space.room"],
    ["a size of two", () => space.room({ ...roomWords, size: [5, 4] as never }), "space.room.size"],
    ["a size in litres", () => space.room({ ...roomWords, size: [5, "4 L", 2] }), "space.room.size[1]"],
    ["a room like a duct", () => space.room({ ...roomWords, size: [500, 4, 2.5] }), "space.room.size"],
    ["a box beyond the wall", () => space.room({ ...roomWords, box: [5.1, 0.5, 0.3] }), "space.room.box"],
    ["a listener below the floor", () => space.room({ ...roomWords, listener: [1, 1, -0.1] }), "space.room.listener"],
    ["an opening outside", () => space.room({ ...roomWords, places: { port: [1, 9, 1] } }), "space.room.places.port"],
    ["an opening at two lengths", () => space.room({ ...roomWords, places: { port: [1, 9] as never } }), "space.room.places.port"],
    ["no loss", () => space.room({ ...roomWords, reverberation: undefined } as never), "space.room"],
    ["two losses", () => space.room({ ...roomWords, absorption: 0.1 }), "space.room"],
    ["an absorption above one", () => space.room({ ...roomWords, reverberation: undefined, absorption: 1.2 } as never), "space.room.absorption"],
    ["a table that descends", () => space.room({ ...roomWords, reverberation: [[100, 1], [50, 1]] }), "space.room.reverberation[1][0]"],
    ["a reverberation of zero", () => space.room({ ...roomWords, reverberation: 0 }), "space.room.reverberation"],
    ["a law without absorption", () => space.room({ ...roomWords, law: "Eyring" }), "space.room.law"],
    ["no length", () => space.cabin({ ...cabinWords, length: undefined } as never), "space.cabin.length"],
    ["a profile beside a length", () => space.cabin({ ...profileWords, length: 2 }), "space.cabin.length"],
    ["a profile without width", () => space.cabin({ ...profileWords, width: undefined } as never), "space.cabin.width"],
    ["a profile of two corners", () => space.cabin({ ...profileWords, profile: profileWords.profile.slice(0, 2) }), "space.cabin.profile"],
    ["a profile that is text", () => space.cabin({ ...profileWords, profile: "sloping" as never }), "space.cabin.profile"],
    ["a corner of three", () => space.cabin({ ...profileWords, profile: [[0, 0, 0] as never, [1, 0], [0, 1]] }), "space.cabin.profile[0]"],
    ["a corner in litres", () => space.cabin({ ...profileWords, profile: [[0, "1 L"], [1, 0], [0, 1]] }), "space.cabin.profile[0][1]"],
    ["a profile that crosses itself", () => space.cabin({ ...profileWords, profile: [[0, 0], [2, 1], [2, 0], [0, 1]] }), "space.cabin.profile"],
    ["the first corner again at the end", () => space.cabin({ ...profileWords, profile: [...profileWords.profile, [0, 0.3]] }), "space.cabin.profile[0]"],
    ["a box below the floor of the boot", () => space.cabin({ ...profileWords, box: [0.5, 0.24, 0.2] }), "space.cabin.box"],
    ["a listener beyond the windscreen", () => space.cabin({ ...profileWords, listener: [2.3, 0.3, 1] }), "space.cabin.listener"],
    ["an opening beyond the side", () => space.cabin({ ...profileWords, places: { port: [1, 1.4, 0.6] } }), "space.cabin.places.port"],
    ["an opening in the roof", () => space.cabin({ ...profileWords, places: { port: [2, 1, 1.2] } }), "space.cabin.places.port"],
    ["a mode of a profile with three orders", () => space.cabin({ ...profileWords, modes: [{ order: [1, 0, 0], frequency: 77 }] }), "space.cabin.modes[0].order"],
    ["walls of a rectangle without area", () => space.cabin({ ...cabinWords, flex: { resistance: 1e4 } }), "space.cabin.flex"],
    ["a volume far from the profile", () => space.cabin({ ...profileWords, volume: "30 m^3" }), "space.cabin.volume"],
    ["a volume far from the rectangle", () => space.cabin({ ...cabinWords, volume: "30 m^3" }), "space.cabin.volume"],
    ["a leak of nothing", () => space.cabin({ ...cabinWords, leak: 0 }), "space.cabin.leak"],
    ["a flex of both kinds", () => space.cabin({ ...cabinWords, flex: { compliance: 1e-6, area: 1 } }), "space.cabin.flex"],
    ["a resistance beside a compliance", () => space.cabin({ ...cabinWords, flex: { compliance: 1e-6, resistance: 1 } }), "space.cabin.flex.resistance"],
    ["a side that is none", () => space.cabin({ ...cabinWords, flex: { compliance: 1e-6, sides: ["roof" as never] } }), "space.cabin.flex.sides[0]"],
    ["a mode of half an order", () => space.cabin({ ...cabinWords, modes: [{ order: [0.5, 0, 0], frequency: 50 }] }), "space.cabin.modes[0].order"],
    ["a mode twice", () => space.cabin({ ...cabinWords, modes: [{ order: [1, 0, 0], frequency: 50 }, { order: [1, 0, 0], frequency: 60 }] }), "space.cabin.modes[1].order"],
    ["a damping above one", () => space.cabin({ ...cabinWords, damping: 2 }), "space.cabin.damping"],
    ["a wall behind the box that is before it", () => space.walls({ rear: "-1 m" }), "space.walls.rear"],
    ["a listener behind the wall", () => space.walls({ rear: "1 m", listener: [-2, 0, 0] }), "space.walls.listener"],
    ["a free space of no name", () => space.free("tenth" as never), "space.free.name"],
    ["levels that are fewer", () => space.measured({ transfer: { frequencies: [20, 30], level: [1] } }), "space.measured.transfer.level"],
    ["a transfer that is text", () => space.measured({ transfer: "seat.csv" as never }), "space.measured.transfer"],
    ["a name and a space", () => predict(box, { in: space.free("half"), space: "half" }), "predict.in"],
    ["what is no space", () => predict(box, { in: {} as never }), "predict.in"],
    ["a space as name", () => predict(box, { space: space.free("half") as never }), "predict.space"],
    ["a distance beside a listener", () => predict(box, { in: space.room(roomWords), distance: "1 m" }), "predict.distance"],
    ["frequencies beyond all modes", () => predict(box, { in: space.room(roomWords), frequencies: [20, 20000] }), "predict.frequencies"],
  ];
  it.each(cases)("%s", (_, run, where) => {
    const error = errorOf(run);
    expect(error?.where).toBe(where);
    expect(textLines({ kind: "text", title: "", paragraphs: [error!.message] }).join("")).not.toMatch(/undefined|NaN|\[object/);
  });
});
