import type { Showable, View } from "./view.js";

const inspectMethod = Symbol.for("nodejs.util.inspect.custom");

/**
 * The thing with the given views and a short text for the kernel's console, frozen; no unit.
 * Both are attached so that they are not listed: keys, JSON and a spread copy show the thing alone.
 *
 * @param thing  plain object; when it is frozen already, a copy of its own members is made
 * @param views  called each time the thing is shown
 * @param text   what `console.log` and an inspected value print; called each time
 * @returns      the frozen thing
 */
export function makeShowable<T extends object>(thing: T, views: () => readonly View[], text: () => string): T & Showable {
  const open = Object.isExtensible(thing) ? thing : copyOf(thing);
  Object.defineProperty(open, "views", { value: views, enumerable: false });
  Object.defineProperty(open, inspectMethod, { value: () => text(), enumerable: false });
  return Object.freeze(open) as T & Showable;
}

// The thing without what this file attached to it before.
function copyOf<T extends object>(thing: T): T {
  const members: PropertyDescriptorMap = Object.getOwnPropertyDescriptors(thing);
  delete members["views"];
  delete members[inspectMethod as unknown as string];
  return Object.create(Object.getPrototypeOf(thing) as object | null, members) as T;
}
