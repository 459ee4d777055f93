import { InputError } from "../errors.js";

/** Shape of the cross-section of a duct, for wall losses: round, square, or a rectangle whose one side is constant along the duct. */
export type CrossSection =
  | { readonly kind: "round" }
  | { readonly kind: "square" }
  | {
      readonly kind: "rectangle";
      /** the side that stays the same along the duct, m */
      readonly depth: number;
    };

/** Hydraulic radius 2 S / perimeter of a cross-section, m: the radius itself for a round one. */
export function hydraulicRadius(shape: CrossSection, area: number): number {
  if (shape.kind === "round") return Math.sqrt(area / Math.PI);
  if (shape.kind === "square") return Math.sqrt(area) / 2;
  return area / (shape.depth + area / shape.depth);
}

/** Longer side or diameter of a cross-section, m. */
export function widthAcross(shape: CrossSection, area: number): number {
  if (shape.kind === "round") return 2 * Math.sqrt(area / Math.PI);
  if (shape.kind === "square") return Math.sqrt(area);
  return Math.max(shape.depth, area / shape.depth);
}

/** Refuses a rectangle without a positive depth. */
export function checkCrossSection(shape: CrossSection, where: string): void {
  if (shape.kind === "rectangle" && !(shape.depth > 0 && Number.isFinite(shape.depth))) {
    throw new InputError({ where: `${where}.depth`, came: `${shape.depth} m`, expected: "a positive depth is expected" });
  }
}
