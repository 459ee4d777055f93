import type { Air } from "../air/air.js";
import { type Note, remark, warning } from "../notes.js";
import { fillRange, passiveFrom } from "./fill.js";
import type { Fill, Network } from "./network.js";

/**
 * What must be said of the porous fills of a network at these frequencies: where a law is used outside the range that it was fitted for (remark), and where it is not
 * that of a passive material (warning; see `passiveFrom`): the law of Delany and Bazley from a little above its lower limit, that of Miki a decade below its own. One note a fill;
 * none for the law of Johnson, Champoux and Allard, which was not fitted.
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
    if (seen.has(key) || frequencies.length === 0 || fill.law === "Johnson-Champoux-Allard") continue;
    seen.add(key);
    const { from, to } = fillRange(fill, air);
    const lowest = frequencies[0]!, highest = frequencies[frequencies.length - 1]!;
    const range = `${Number(fill.flowResistivity.toPrecision(4))} Pa s/m^2 by the law of ${fill.law === "Miki" ? "Miki" : "Delany and Bazley"} was fitted from ${hertz(from)} to ${hertz(to)}`;
    const passive = passiveFrom(fill, air), advice = ": take that of Johnson, Champoux and Allard";
    if (lowest < from) {
      const text = `a fill of ${range}; below that it is extrapolated`;
      notes.push(lowest < passive ? warning(where, `${text}, and this law may give energy there${fill.law === "Miki" ? `, below ${hertz(passive)}` : ""}${advice}`) : remark(where, text));
    } else if (lowest < passive) notes.push(warning(where, `a fill of ${range}; below ${hertz(passive)} this law may give energy all the same${advice}`));
    else if (highest > to) notes.push(remark(where, `a fill of ${range}; above that it is extrapolated`));
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
