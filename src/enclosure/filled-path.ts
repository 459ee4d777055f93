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
    if (stretch === undefined) out.push(...sections);
    else out.push(...sections.map((s) => (s.flare === "turn" ? s : { ...s, fill: { flowResistivity: stretch.flowResistivity, law: stretch.law } })));
  }
  return out;
}
