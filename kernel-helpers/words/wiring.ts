import type { Wiring } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys, nearestKey } from "../options.js";
import { shownValue } from "../shown-value.js";
import type { WiringWords } from "./element-words.js";

/** Deepest nesting of groups that is read, no unit. */
const deepest = 16;

/**
 * Wiring of several drivers from its words; no unit. All in parallel when nothing is given.
 *
 * @param names  names of the drivers
 * @throws InputError  for an unknown name, with the one that is most likely meant, or a name that is missing or comes twice
 */
export function wiringFrom(value: unknown, names: readonly string[], field: string): Wiring {
  if (value === undefined) {
    const parts = names.map((name) => Object.freeze({ kind: "driver", name } as const));
    return parts.length === 1 ? parts[0]! : Object.freeze({ kind: "parallel", parts: Object.freeze(parts) });
  }
  const seen = new Set<string>();
  const wiring = partOf(value, names, field, seen, 0);
  const missing = names.find((name) => !seen.has(name));
  if (missing !== undefined) throw new InputError({ where: field, came: `driver "${missing}" is not wired`, expected: "each driver is expected once" });
  return wiring;
}

function partOf(value: unknown, names: readonly string[], field: string, seen: Set<string>, depth: number): Wiring {
  if (typeof value === "string") return driverOf(value, false, names, field, seen);
  const expected = 'the name of a driver, { reversed: name }, { series: [...] } or { parallel: [...] } is expected';
  if (typeof value !== "object" || value === null || Array.isArray(value) || depth > deepest) {
    throw new InputError({ where: field, came: depth > deepest ? `groups in more than ${deepest} groups` : shownValue(value), expected });
  }
  checkKeys(field, value, ["reversed", "series", "parallel"]);
  const words = value as { readonly reversed?: unknown; readonly series?: unknown; readonly parallel?: unknown };
  const keys = (["reversed", "series", "parallel"] as const).filter((key) => words[key] !== undefined);
  if (keys.length !== 1) throw new InputError({ where: field, came: keys.length === 0 ? "an empty group" : `both ${keys[0]} and ${keys[1]}`, expected });
  const key = keys[0]!, inner = words[key];
  if (key === "reversed") {
    if (typeof inner !== "string") throw new InputError({ where: `${field}.reversed`, came: shownValue(inner), expected: "the name of a driver is expected" });
    return driverOf(inner, true, names, `${field}.reversed`, seen);
  }
  if (!Array.isArray(inner) || inner.length === 0) throw new InputError({ where: `${field}.${key}`, came: shownValue(inner), expected: "a list of drivers or groups is expected" });
  return Object.freeze({ kind: key, parts: Object.freeze(Array.from(inner as readonly unknown[], (part, i) => partOf(part, names, `${field}.${key}[${i}]`, seen, depth + 1))) });
}

function driverOf(name: string, reversed: boolean, names: readonly string[], field: string, seen: Set<string>): Wiring {
  if (!names.includes(name)) {
    const near = nearestKey(name, names);
    throw new InputError({ where: field, came: `no driver is called ${shownValue(name)}`, expected: `one of ${names.map((n) => `"${n}"`).join(", ")} is expected`, ...(near === undefined ? {} : { hint: `perhaps "${near}" is meant` }) });
  }
  if (seen.has(name)) throw new InputError({ where: field, came: `driver "${name}" is wired twice`, expected: "each driver is expected once" });
  seen.add(name);
  return Object.freeze(reversed ? { kind: "driver", name, reversed: true } : { kind: "driver", name });
}

/** Wiring as it stands in a design file. */
export function wiringRecipe(wiring: Wiring): WiringWords {
  if (wiring.kind === "driver") return wiring.reversed === true ? { reversed: wiring.name } : wiring.name;
  const parts = wiring.parts.map(wiringRecipe);
  return wiring.kind === "series" ? { series: parts } : { parallel: parts };
}
