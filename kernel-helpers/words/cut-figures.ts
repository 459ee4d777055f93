import type { CutBox, CutLayer } from "../../src/cut/cut-layers.js";
import { mm } from "../../src/cut/stack.js";
import { bounds, type Circle, type Loop, shapeArea } from "../../src/geometry/shape.js";
import { formatQuantity } from "../quantity.js";
import type { Figure, SliderState, Table, Text, Trace, View } from "../show/view.js";

const toMillimetres = 1000, mostRows = 120;

/** What a box cut into layers shows: in words, each layer drawn to scale, and tables of layers, pieces, screws and holes. */
export function cutViews(box: CutBox): readonly View[] {
  return [summary(box), layerFigure(box), layerTable(box), pieceTable(box), ...screwTable(box), holeTable(box), cautions];
}

function summary({ drawing, stack, layers, pilotHoles, dowels, stagger, screws, options, notes }: CutBox): Text {
  const pieces = layers.reduce((sum, layer) => sum + layer.pieces.length, 0), small = layers.flatMap((layer) => layer.pieces).filter(({ tabs }) => tabs !== undefined).length;
  const closing = stack.closingLayers === 1 ? "one closing sheet" : "two closing sheets";
  const paragraphs = [
    `${stack.innerLayers} sheets of ${mm(stack.thickness)} as measured make ${mm(stack.innerWidth)} of air (wanted ${mm(stack.wantedWidth)}, ${stack.widthError >= 0 ? "+" : "-"}${Math.abs(100 * stack.widthError).toFixed(1)} %); with ${closing} on either side the box is ${mm(stack.outerWidth)} wide. ${pieces} pieces in ${layers.length} layers.`,
    Number.isFinite(stagger) ? `Joints that run the same way stand at least ${mm(stagger)} from those of the layers above and below.` : "No joints of neighbouring layers meet.",
    `${pilotHoles.length} pilot holes of ${mm(options.pilotHoles.diameter)}, the same in every layer, at least ${mm(options.pilotHoles.edgeDistance)} from every edge${dowels.length > 0 ? `; ${dowels.length} dowel holes of ${mm(options.dowels!.diameter)}: dowels in the lowest sheet are the jig that the layers are threaded onto` : ""}.`,
  ];
  if (screws.length > 0) paragraphs.push(`Screws of ${mm(options.screwLength!)}: sink each head flush before the next layer goes on. The first ${screws[0]!.layer - 1} layers take none, they are thinner together than a screw.`);
  if (small > 0) paragraphs.push(`${small} small pieces keep tabs of ${mm(options.making.tabs.width)} so that they do not fall out of the sheet: break them out and sand the stubs.`);
  return { kind: "text", title: `${drawing.name}: cut from sheets`, paragraphs, notes };
}

const cautions: Text = {
  kind: "text",
  title: "Before you cut",
  paragraphs: [
    "The machine's manual and local rules come first. Never leave a laser cutting alone: watch for fire and keep means to put it out at hand. Extract fumes and dust, and cut no sheet whose binder or coating is unknown. Wear eye and ear protection, clamp the sheet and wait for a tool to stop before reaching in.",
    "Glue and screw layer by layer with clamps on a flat plate; follow the glue's own times and air the room.",
  ],
};

/** Groups of layers that are drawn alike, by their first layer. */
function alike(layers: readonly CutLayer[]): readonly (readonly CutLayer[])[] {
  const groups = new Map<string, CutLayer[]>();
  for (const layer of layers) {
    const key = JSON.stringify([layer.kind, layer.pieces.map(({ shape }) => shape)]);
    groups.set(key, [...(groups.get(key) ?? []), layer]);
  }
  return [...groups.values()];
}

function layerFigure({ drawing, layers, pilotHoles, dowels, options }: CutBox): Figure {
  const groups = alike(layers), shown = groups.map(([first]) => first!);
  const edges = shown.map(({ pieces }) => polyline(pieces.flatMap(({ shape }) => [shape.outer, ...shape.holes])));
  // the joints of the layer below, where there is one
  const below = shown.map(({ number }) => polyline((layers[number - 2]?.joints ?? []).map(({ along, at, length }): Loop => (along === "y" ? [[at[0], at[1] - length / 2], [at[0], at[1] + length / 2]] : [[at[0] - length / 2, at[1]], [at[0] + length / 2, at[1]]])), false));
  const circles = (centres: readonly (readonly [number, number])[], diameter: number): Line => polyline(centres.map((centre) => circleLine({ centre, radius: diameter / 2 })));
  const pilots = circles(pilotHoles, options.pilotHoles.diameter), pegs = circles(dowels, options.dowels?.diameter ?? 0);
  const start = Math.max(0, shown.findIndex(({ kind }) => kind === "layer"));
  const moving = [edges, below], x = moving.map((lines) => Float64Array.from(lines.flatMap((line) => line.x)));
  const y = (state: number): Float64Array[] => moving.map((lines) => Float64Array.from(lines.flatMap((line, i) => (i === state ? line.y : line.y.map(() => NaN)))));
  const fixed = [{ name: "pilot holes", line: pilots, role: "measurement" as const }, ...(dowels.length > 0 ? [{ name: "dowel holes", line: pegs, role: "residual" as const }] : [])];
  const hasJoints = x[1]!.length > 0;
  const states = shown.map((_, i): SliderState => {
    const [own, under] = y(i);
    return { y: [own!, ...(hasJoints ? [under!] : []), ...fixed.map(({ line }) => Float64Array.from(line.y))] };
  });
  const traces: Trace[] = [
    { name: "edges of the pieces", x: x[0]!, y: states[start]!.y[0]!, role: "prediction" },
    ...(hasJoints ? [{ name: "joints of the layer below", x: x[1]!, y: states[start]!.y[1]!, role: "limit" as const }] : []),
    ...fixed.map(({ name, line, role }): Trace => ({ name, x: Float64Array.from(line.x), y: Float64Array.from(line.y), role })),
  ];
  const [length, height] = drawing.outer.map((side) => side * toMillimetres) as [number, number], edge = 0.02 * Math.max(length, height);
  return {
    kind: "figure", title: `${drawing.name}: the layers, to scale`, subtitle: groups.length === 1 ? "all layers are alike" : `${groups.length} kinds of layers; the table says which layers are alike`,
    x: { quantity: "along the box", unit: "mm", scale: "linear", range: [-edge, length + edge] }, equalScale: true,
    panels: [{ quantity: "up", unit: "mm", traces, range: [-edge, height + edge] }],
    ...(states.length > 1 ? { slider: { quantity: "layer", unit: "", places: Float64Array.from(shown, ({ number }) => number), states, start } } : {}),
  };
}

interface Line {
  readonly x: number[];
  readonly y: number[];
}

/** Loops as one line with gaps, mm. */
function polyline(loops: readonly Loop[], isClosed = true): Line {
  const x: number[] = [], y: number[] = [];
  for (const loop of loops) {
    for (const [px, py] of isClosed ? [...loop, loop[0]!] : loop) {
      x.push(px * toMillimetres);
      y.push(py * toMillimetres);
    }
    x.push(NaN);
    y.push(NaN);
  }
  return { x, y };
}

function circleLine({ centre: [x, y], radius }: Circle): Loop {
  return Array.from({ length: 12 }, (_, i) => [x + radius * Math.cos((i * Math.PI) / 6), y + radius * Math.sin((i * Math.PI) / 6)] as const);
}

function layerTable({ layers, drawing }: CutBox): Table {
  return {
    kind: "table", title: `${drawing.name}: layers from below`, columns: ["layers", "what", "pieces each", "joints each", "wood each"],
    rows: alike(layers).map((group) => [ranges(group.map(({ number }) => number)), group[0]!.kind, String(group[0]!.pieces.length), String(group[0]!.joints.length), formatQuantity(group[0]!.pieces.reduce((sum, { shape }) => sum + shapeArea(shape), 0), "m^2", 4)]),
  };
}

/** Pieces of one shape stand in one row. */
function pieceTable({ layers, drawing }: CutBox): Table {
  const groups = new Map<string, CutLayer["pieces"][number][]>();
  for (const piece of layers.flatMap(({ pieces }) => pieces)) {
    const key = JSON.stringify(piece.shape);
    groups.set(key, [...(groups.get(key) ?? []), piece]);
  }
  const all = [...groups.values()], shown = all.slice(0, mostRows);
  return {
    kind: "table", title: all.length > mostRows ? `${drawing.name}: pieces (${mostRows} of ${all.length} kinds)` : `${drawing.name}: pieces`, columns: ["pieces", "layers", "count", "size", "area", "pilot holes", "dowel holes", "remarks"],
    rows: shown.map((group) => {
      const piece = group[0]!, { low, high } = bounds(piece.shape.outer), count = (purpose: string): string => String(piece.circles.filter((hole) => hole.purpose === purpose).length);
      const remarks = [piece.isIsland ? "air all round" : "", piece.tabs === undefined ? "" : `${piece.tabs.length} tabs`, piece.drilled.length > 0 ? `${piece.drilled.length} holes to be drilled` : "", piece.labelPlace === undefined ? "no room for text" : ""];
      return [ranges(group.map(({ number }) => number)), ranges(group.map(({ layer }) => layer)), String(group.length), `${mm(high[0] - low[0])} x ${mm(high[1] - low[1])}`, formatQuantity(shapeArea(piece.shape), "m^2", 3), count("pilot hole"), count("dowel"), remarks.filter((text) => text !== "").join(", ")];
    }),
  };
}

function screwTable({ screws, drawing, options }: CutBox): readonly Table[] {
  if (screws.length === 0) return [];
  const total = screws.reduce((sum, { holes }) => sum + holes.length, 0);
  return [{
    kind: "table", title: `${drawing.name}: ${total} screws of ${mm(options.screwLength!)}`, columns: ["when this layer lies", "screws", "into pilot holes", "down to layer"],
    rows: screws.map(({ layer, holes, into }) => [String(layer), String(holes.length), holes.join(", "), String(into)]),
  }];
}

function holeTable({ pilotHoles, dowels, drawing }: CutBox): Table {
  const row = (name: string, [x, y]: readonly [number, number]): string[] => [name, mm(x), mm(y)];
  return { kind: "table", title: `${drawing.name}: holes of every layer`, columns: ["hole", "from the left", "from below"], rows: [...pilotHoles.map((at, i) => row(`pilot hole ${i + 1}`, at)), ...dowels.map((at, i) => row(`dowel ${i + 1}`, at))] };
}

/** 1, 2, 3, 7 as "1-3, 7". */
function ranges(numbers: readonly number[]): string {
  const parts: [number, number][] = [];
  for (const n of numbers) {
    const last = parts.at(-1);
    if (last !== undefined && n === last[1] + 1) last[1] = n;
    else parts.push([n, n]);
  }
  return parts.map(([from, to]) => (from === to ? String(from) : to === from + 1 ? `${from}, ${to}` : `${from}-${to}`)).join(", ");
}
