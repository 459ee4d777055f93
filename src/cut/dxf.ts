import { DxfWriter, point3d, PolylineFlags, TextHorizontalAlignment, TextVerticalAlignment, Units } from "@tarikjabiri/dxf";
import type { PlanePoint } from "../geometry/shape.js";
import type { SheetPiece } from "./moved.js";
import type { NestedSheet } from "./nest.js";
import { type CutLineOptions, type SheetCut, sheetCuts } from "./sheet-cuts.js";
import { pieceSheet } from "./svg.js";

/**
 * A sheet as DXF text, in mm (the header says so), by the library @tarikjabiri/dxf: LINE, POLYLINE, CIRCLE and TEXT only, one layer for each operation and layer of the box, named in words; lines in m.
 */
export function sheetDxf(sheet: NestedSheet, options: CutLineOptions): string {
  const writer = new DxfWriter();
  writer.setUnits(Units.Millimeters);
  // 1: metric; drawings come out 25.4 times too large or small without it in programs that do not read the unit
  writer.setVariable("$MEASUREMENT", { 70: 1 });
  for (const { name, cuts } of sheetCuts(sheet, options)) {
    writer.addLayer(name, 7, "Continuous");
    for (const cut of cuts) addCut(writer, cut, name);
  }
  return `${writer.stringify()}\n`;
}

/** One piece as DXF text, in mm, as it was drawn, with a margin of 5 mm, or of the lead-in where that is longer. */
export function pieceDxf(piece: SheetPiece, options: CutLineOptions): string {
  return sheetDxf(pieceSheet(piece, options).sheet, options);
}

const inMm = (length: number): number => Math.round(1e7 * length) / 1e4 + 0;
const pointMm = ([x, y]: PlanePoint): { x: number; y: number; z: number } => point3d(inMm(x), inMm(y), 0);

function addCut(writer: DxfWriter, { line, isClosed, circle, text }: SheetCut, layerName: string): void {
  if (circle) writer.addCircle(pointMm(circle.centre), inMm(circle.radius), { layerName });
  else if (text) {
    // letters that the file's code page may lack become question marks
    const plain = text.value.replace(/[^\u0020-\u007e]/g, "?"), at = pointMm(text.at);
    writer.addText(at, inMm(text.height), plain, { layerName, rotation: Number(((text.angle * 180) / Math.PI).toFixed(4)), horizontalAlignment: TextHorizontalAlignment.Center, verticalAlignment: TextVerticalAlignment.Middle, secondAlignmentPoint: at });
  } else if (line.length === 2) writer.addLine(pointMm(line[0]!), pointMm(line[1]!), { layerName });
  else {
    const points = isClosed ? line.slice(0, -1) : line;
    const flags = PolylineFlags.Polyline3D | (isClosed ? PolylineFlags.Closed : 0);
    const polyline = writer.addPolyline3D(points.map((point) => ({ point: pointMm(point) })), { layerName, flags });
    for (const vertex of polyline.vertices) vertex.layerName = layerName;
  }
}
