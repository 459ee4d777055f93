import type { Design } from "../../src/enclosure/design.js";
import { formatQuantity } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { fillTable, pathFigure } from "./path.js";

/** Plain SI description of an enclosure, as it stands in a design file. */
export type EnclosureRecipe = { readonly kind: string } & Readonly<Record<string, unknown>>;

/** A design that shows itself and can be saved. */
export type NotebookDesign = Design &
  Showable & {
    /** the enclosure as it stands in a design file, plain SI numbers */
    readonly recipe: EnclosureRecipe;
    /** what was changed in it by `explain`, as the note of its design file; missing for a design that was made */
    readonly record?: string;
  };

/** A design with its views: facts as a table, and the path where there is one. */
export function notebookDesign(design: Design, recipe: EnclosureRecipe): NotebookDesign {
  return makeShowable(
    { ...design, recipe: Object.freeze(recipe) },
    () => designViews(design),
    () => `${design.kind} "${design.name}" with ${driversText(design)}${design.facts.length === 0 ? "" : `: ${design.facts.map((f) => `${f.name} ${formatQuantity(f.value, f.unit, 4)}`).join(", ")}`}`,
  );
}

function designViews(design: Design): readonly View[] {
  const table: View = {
    kind: "table",
    title: `${capital(design.kind)}: ${design.name}`,
    columns: ["what", "value"],
    rows: [[design.network.drivers.length === 1 ? "driver" : "drivers", driversText(design)], ...design.facts.map((f) => [f.name, formatQuantity(f.value, f.unit, 4)])],
    notes: design.notes,
  };
  if (design.path === undefined) return [table];
  const marks = design.taps === undefined
    ? (design.marks ?? [])
    : [
        { name: "front face of the cone", at: design.taps.front },
        { name: "back face of the cone", at: design.taps.back },
      ];
  const filled = design.filled ?? [];
  return [table, pathFigure(design.path, marks, { name: `path of the ${design.name}`, filled }), ...fillTable(filled, `path of the ${design.name}`)];
}

/** "2 x invented 200 mm, in series, push-pull". */
function driversText(design: Design): string {
  const { drivers, driver, network } = design;
  if (drivers !== undefined) {
    const mounting = { same: "side by side", "push-pull": "push-pull", opposed: "opposed" }[drivers.mounting];
    return `${drivers.count} x ${driver.name}, in ${drivers.wiring}, ${mounting}`;
  }
  return network.drivers.length === 1 ? driver.name : network.drivers.map((placed) => placed.name).join(", ");
}

/** The object without its undefined members. */
export function compact<T extends object>(value: T): T {
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== undefined)) as T;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
