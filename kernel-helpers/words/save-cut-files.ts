import { readFile } from "node:fs/promises";
import { resolve } from "node:path";
import { InputError } from "../../src/errors.js";
import { benchDrawing } from "../../src/cut/bench-drawing.js";
import { cutListCsv } from "../../src/cut/cut-list.js";
import { pieceDxf, sheetDxf } from "../../src/cut/dxf.js";
import { machineCautions } from "../../src/cut/machine-cautions.js";
import { pieceSvg, sheetSvg } from "../../src/cut/svg.js";
import { checkKeys } from "../options.js";
import { shownName } from "../read/read-bytes.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { writeNewFile } from "../write/new-file.js";
import { checkFlag } from "./names.js";
import { type NotebookNest, nestFrom } from "./nest.js";

/** Which files are written. */
export interface SaveCutFilesOptions {
  /** "SVG", "DXF" or both; both when missing */
  readonly formats?: readonly ("SVG" | "DXF")[];
  /** true writes each piece on its own too, into a folder "pieces"; true when missing */
  readonly pieces?: boolean;
  /** true writes a page to print for each layer, with sizes and places of holes, into a folder "bench"; true when missing */
  readonly benchDrawings?: boolean;
  /** true to write over files with other content */
  readonly replace?: boolean;
}

/** What was written. */
export interface CutFiles {
  /** names relative to the notebook's folder, in the order in which they were written */
  readonly files: readonly string[];
}

/**
 * Saves what a machine cuts, in mm at true scale: each sheet and each piece as SVG and DXF with a named group for each operation and layer, a page to print for each layer, and a cut list as CSV. Await it.
 *
 * ```ts
 * await air.saveCutFiles("cut-files", sheets);
 * ```
 *
 * @param folder  name relative to the notebook's folder; made when it is not there
 * @param nested  from `nest`
 * @throws InputError  when one of the files exists with other content (nothing is written then), or an option is wrong
 */
export async function saveCutFiles(folder: string, nested: NotebookNest, options: SaveCutFilesOptions = {}): Promise<CutFiles & Showable> {
  const word = "saveCutFiles";
  if (typeof folder !== "string" || folder.trim() === "" || folder.includes("\0")) throw new InputError({ where: word, came: shownValue(folder), expected: 'the name of a folder is expected first, such as "cut-files"' });
  const nest = nestFrom(nested, word);
  checkKeys(word, options, ["formats", "pieces", "benchDrawings", "replace"]);
  const { formats = ["SVG", "DXF"], pieces = true, benchDrawings = true, replace = false } = options;
  checkFlag(pieces, `${word}.pieces`);
  checkFlag(benchDrawings, `${word}.benchDrawings`);
  checkFlag(replace, `${word}.replace`);
  if (!Array.isArray(formats) || formats.length === 0 || formats.some((format) => format !== "SVG" && format !== "DXF")) throw new InputError({ where: `${word}.formats`, came: Array.isArray(formats) ? formats.map(shownValue).join(", ") : shownValue(formats), expected: '"SVG", "DXF" or both are expected in a list' });
  const encoder = new TextEncoder();
  const files = textsOf(nest, { formats, pieces, benchDrawings }).map(([name, text]) => [`${folder.replace(/\/+$/, "")}/${name}`, encoder.encode(text)] as const);
  if (!replace) for (const [name, bytes] of files) await refuseOther(name, bytes, word);
  for (const [name, bytes] of files) await writeNewFile(name, bytes, { word, replace });
  const written: CutFiles = { files: Object.freeze(files.map(([name]) => shownName(name))) };
  return makeShowable(written, () => [
    { kind: "text", title: `${written.files.length} files in ${shownName(folder)}`, paragraphs: ["True scale in mm. Groups and layers are named after the operation and the layer of the box, and stand in the order in which they are cut: set your machine by these names.", ...machineCautions] },
    { kind: "table", title: "Files", columns: ["file"], rows: written.files.map((name) => [name]) },
  ], () => `${written.files.length} files written to ${shownName(folder)}`);
}

function textsOf(nest: NotebookNest, { formats, pieces, benchDrawings }: { readonly formats: readonly ("SVG" | "DXF")[]; readonly pieces: boolean; readonly benchDrawings: boolean }): readonly (readonly [name: string, text: string])[] {
  const svg = formats.includes("SVG"), dxf = formats.includes("DXF"), { lines } = nest, texts: [string, string][] = [["cut-list.csv", cutListCsv(nest)]];
  for (const sheet of nest.sheets) {
    const name = `sheet-${numberText(sheet.number, nest.sheets.length)}`;
    if (svg) texts.push([`${name}.svg`, sheetSvg(sheet, lines)]);
    if (dxf) texts.push([`${name}.dxf`, sheetDxf(sheet, lines)]);
  }
  const all = nest.sheets.flatMap((sheet) => sheet.pieces.map(({ piece }) => piece)).sort((a, b) => a.number - b.number);
  const most = all.reduce((top, { number }) => Math.max(top, number), 0), mostLayers = all.reduce((top, { layer }) => Math.max(top, layer), 0);
  if (benchDrawings) for (const layer of [...new Set(all.map((piece) => piece.layer))].sort((a, b) => a - b)) texts.push([`bench/layer-${numberText(layer, mostLayers)}.svg`, benchDrawing(nest, layer, lines)]);
  for (const piece of pieces ? all : []) {
    const name = `pieces/piece-${numberText(piece.number, most)}-layer-${numberText(piece.layer, mostLayers)}`;
    if (svg) texts.push([`${name}.svg`, pieceSvg(piece, lines)]);
    if (dxf) texts.push([`${name}.dxf`, pieceDxf(piece, lines)]);
  }
  return texts;
}

/** A number with zeros before it, so that names sort as numbers do. */
function numberText(number: number, most: number): string {
  return String(number).padStart(Math.max(2, String(most).length), "0");
}

/** Refuses a file that is there with other content, before anything is written. */
async function refuseOther(file: string, bytes: Uint8Array, word: string): Promise<void> {
  const there = await readFile(resolve(process.cwd(), file)).catch(() => undefined);
  if (there === undefined || Buffer.compare(there, bytes) === 0) return;
  throw new InputError({ where: `${word}: ${shownName(file)}`, came: "a file of this name with other content", expected: "a new folder is expected", hint: "add replace: true to write over it" });
}
