import type { Fill, Section } from "../acoustics/network.js";
import { pathLength, sectionsBetween, type Path } from "../acoustics/path.js";
import { InputError } from "../errors.js";

/** A stretch of a path that is filled with porous material. */
export interface FilledStretch extends Fill {
  /** where the fill begins, m from the start of the path; 0 when missing */
  readonly from?: number;
  /** where it ends, m from the start of the path; the end of the path when missing */
  readonly to?: number;
}

/** A fill and where it lies along a path, both ends known. */
export interface FilledPlace {
  /** where the fill begins, m from the start of the path */
  readonly from: number;
  /** where it ends, m from the start of the path */
  readonly to: number;
  readonly fill: Fill;
}

/** What is filled along a path, in order: by its stations, and by stretches over them; neighbours of one fill are one. Empty for a path of free air. */
export function filledAlong(path: Path, stretches: readonly FilledStretch[] = []): readonly FilledPlace[] {
  const out: FilledPlace[] = [];
  let at = 0;
  for (const section of filledSections(path, 0, pathLength(path), stretches)) {
    const from = at;
    at += section.length;
    if (section.flare === "turn" || section.fill === undefined || !(section.length > 0)) continue;
    const before = out[out.length - 1], fill = section.fill;
    if (before !== undefined && from - before.to < 1e-9 && isSameFill(before.fill, fill)) out[out.length - 1] = Object.freeze({ ...before, to: at });
    else out.push(Object.freeze({ from, to: at, fill }));
  }
  return Object.freeze(out);
}

function isSameFill(a: Fill, b: Fill): boolean {
  return (["flowResistivity", "law", "porosity", "tortuosity", "viscousLength", "thermalLength"] as const).every((key) => a[key] === b[key]);
}

/**
 * Refuses stretches outside the path, without length or over each other.
 *
 * @param where  what errors put first, such as "transmissionLine.fill"
 */
export function checkStretches(stretches: readonly FilledStretch[], path: Path, where: string): void {
  const length = pathLength(path);
  stretches.forEach((stretch, i) => {
    const { from = 0, to = length } = stretch;
    if (!(from >= 0 && to <= length * (1 + 1e-9) && from < to)) {
      throw new InputError({ where: `${where}[${i}]`, came: `${from} m to ${to} m`, expected: `a stretch within 0 m to ${Number(length.toPrecision(4))} m is expected` });
    }
    const other = stretches.findIndex((s, k) => k < i && (s.from ?? 0) < to && from < (s.to ?? length));
    if (other >= 0) throw new InputError({ where: `${where}[${i}]`, came: `${from} m to ${to} m, over stretch ${other}`, expected: "stretches that do not lie over each other are expected" });
  });
}

/** Sections of a path between two distances (m), with the fill of each stretch; what is a turn stays without fill. */
export function filledSections(path: Path, from: number, to: number, stretches: readonly FilledStretch[] = []): Section[] {
  const length = pathLength(path);
  const cuts = stretches.flatMap((s) => [s.from ?? 0, s.to ?? length]).filter((at) => at > from && at < to);
  const places = [from, ...new Set(cuts.sort((a, b) => a - b)), to];
  const out: Section[] = [];
  for (let i = 0; i + 1 < places.length; i++) {
    const a = places[i]!, b = places[i + 1]!, middle = (a + b) / 2;
    const stretch = stretches.find((s) => (s.from ?? 0) < middle && middle < (s.to ?? length));
    const sections: readonly Section[] = sectionsBetween(path, a, b);
    if (stretch === undefined) {
      out.push(...sections);
      continue;
    }
    const { from: _from, to: _to, ...fill } = stretch;
    out.push(...sections.map((s) => (s.flare === "turn" ? s : { ...s, fill })));
  }
  return out;
}
