import type { Air } from "../air/air.js";
import { type Note, remark, warning } from "../notes.js";
import { fillRange } from "./fill.js";
import type { Fill, Network } from "./network.js";

/**
 * What must be said of the porous fills of a network at these frequencies: where a law is used outside the range that it was fitted for. Below it the law of Delany and
 * Bazley is not even that of a passive material (warning); that of Miki stays well behaved (remark). One note a fill.
 *
 * Source: Delany & Bazley, Appl. Acoust. 3 (1970) 105; Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19.
 *
 * @param network      any network
 * @param frequencies  Hz, ascending
 * @param air          density
 */
export function fillNotes(network: Network, frequencies: Float64Array, air: Air): Note[] {
  const notes: Note[] = [];
  const seen = new Set<string>();
  for (const { fill, where } of fillsOf(network)) {
    const key = `${where} ${fill.law} ${fill.flowResistivity}`;
    if (seen.has(key) || frequencies.length === 0) continue;
    seen.add(key);
    const { from, to } = fillRange(fill, air);
    const lowest = frequencies[0]!, highest = frequencies[frequencies.length - 1]!;
    const range = `${Number(fill.flowResistivity.toPrecision(4))} Pa s/m^2 by the law of ${fill.law === "Miki" ? "Miki" : "Delany and Bazley"} was fitted from ${hertz(from)} to ${hertz(to)}`;
    if (lowest < from) {
      const text = `a fill of ${range}; below that it is extrapolated${fill.law === "Miki" ? "" : ", and this law may give energy there: take that of Miki"}`;
      notes.push(fill.law === "Miki" ? remark(where, text) : warning(where, text));
    } else if (highest > to) notes.push(remark(where, `a fill of ${range}; above that it is extrapolated`));
  }
  return notes;
}

function fillsOf(network: Network): { readonly fill: Fill; readonly where: string }[] {
  return network.elements.flatMap((e) => {
    if (e.kind === "volume") return e.fill === undefined ? [] : [{ fill: e.fill, where: `volume at ${e.node}` }];
    if (e.kind !== "duct") return [];
    return e.sections.flatMap((s) => (s.flare === "turn" || s.fill === undefined ? [] : [{ fill: s.fill, where: e.name }]));
  });
}

function hertz(f: number): string {
  return `${Number(f.toPrecision(3))} Hz`;
}
