import { InputError } from "../errors.js";
import type { Fill } from "./network.js";

/** Refuses a fill whose frame cannot be: porosity above 0 up to 1, tortuosity from 1 on, lengths above zero; each may be missing. */
export function checkFillFrame(fill: Fill, where: string): void {
  const { porosity = 1, tortuosity = 1 } = fill;
  if (!(porosity > 0 && porosity <= 1)) throw new InputError({ where: `${where}.porosity`, came: `${porosity}`, expected: "a share of air above 0 and up to 1 is expected" });
  if (!(tortuosity >= 1 && Number.isFinite(tortuosity))) throw new InputError({ where: `${where}.tortuosity`, came: `${tortuosity}`, expected: "1 for straight ways, or more, is expected" });
  for (const key of ["viscousLength", "thermalLength"] as const) {
    const length = fill[key];
    if (length !== undefined && !(length > 0 && Number.isFinite(length))) throw new InputError({ where: `${where}.${key}`, came: `${length} m`, expected: "a positive length is expected" });
  }
}
