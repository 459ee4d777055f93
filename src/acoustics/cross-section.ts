import { InputError } from "../errors.js";

/** Shape of the cross-section of a duct, for wall losses: round, square, a rectangle whose one side is constant along the duct, or a slit whose two wide walls alone count. */
export type CrossSection =
  | { readonly kind: "round" }
  | { readonly kind: "square" }
  | {
      readonly kind: "rectangle";
      /** the side that stays the same along the duct, m */
      readonly depth: number;
    }
  | {
      readonly kind: "slit";
      /** distance between the two wide walls, the same along the duct, m */
      readonly height: number;
    };

/** Hydraulic radius 2 S / perimeter of a cross-section, m: the radius itself for a round one; a slit has no short sides. */
export function hydraulicRadius(shape: CrossSection, area: number): number {
  if (shape.kind === "round") return Math.sqrt(area / Math.PI);
  if (shape.kind === "square") return Math.sqrt(area) / 2;
  if (shape.kind === "slit") return shape.height;
  return area / (shape.depth + area / shape.depth);
}

/** Longer side or diameter of a cross-section, m. */
export function widthAcross(shape: CrossSection, area: number): number {
  if (shape.kind === "round") return 2 * Math.sqrt(area / Math.PI);
  if (shape.kind === "square") return Math.sqrt(area);
  const side = shape.kind === "slit" ? shape.height : shape.depth;
  return Math.max(side, area / side);
}

/** Refuses a rectangle without a positive depth and a slit without a positive height. */
export function checkCrossSection(shape: CrossSection, where: string): void {
  if (shape.kind === "rectangle" && !(shape.depth > 0 && Number.isFinite(shape.depth))) {
    throw new InputError({ where: `${where}.depth`, came: `${shape.depth} m`, expected: "a positive depth is expected" });
  }
  if (shape.kind === "slit" && !(shape.height > 0 && Number.isFinite(shape.height))) {
    throw new InputError({ where: `${where}.height`, came: `${shape.height} m`, expected: "a positive height is expected" });
  }
}
