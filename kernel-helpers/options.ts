import { InputError } from "../src/errors.js";

/**
 * Refuses an options object with a key that is not known, so that a misspelt option is never ignored; no unit.
 *
 * @param where    the word that the options belong to, such as "tappedHorn"
 * @param value    what the user gave
 * @param allowed  every key that is known
 * @throws InputError  when the value is not a plain object, or has another key; names the nearest known one
 */
export function checkKeys(where: string, value: unknown, allowed: readonly string[]): void {
  if (typeof value !== "object" || value === null || Array.isArray(value) || ArrayBuffer.isView(value)) {
    throw new InputError({ where, came: `${kindOf(value)} came`, expected: `options in braces are expected, such as { ${allowed[0] ?? ""}: ... }` });
  }
  for (const key of Object.keys(value)) {
    if (allowed.includes(key)) continue;
    const near = nearestKey(key, allowed);
    const expected = near === undefined ? `known are ${[...allowed].sort().join(", ")}` : `did you mean "${near}"?`;
    throw new UnknownKeyError(where, key, expected);
  }
}

// The template ends with a full stop; a question does not.
class UnknownKeyError extends InputError {
  constructor(where: string, key: string, expected: string) {
    super({ where, came: `no option "${shorten(key)}"`, expected });
    if (expected.endsWith("?")) this.message = this.message.slice(0, -1);
  }
}

/**
 * The known key that a misspelt one most likely means, or undefined when none is near; no unit.
 * Near is at most two edits, or a third of the length of the key when that is more; exchanged neighbours are one edit,
 * capital or small letter makes no difference. Of equally near ones the first in the list.
 */
export function nearestKey(key: string, allowed: readonly string[]): string | undefined {
  let best: string | undefined;
  let bestDistance = Math.max(2, Math.floor(key.length / 3)) + 1;
  for (const candidate of allowed) {
    const distance = editDistance(key.toLowerCase(), candidate.toLowerCase());
    // two edits turn any two-letter name into any other: at least half of the name must remain
    if (distance < bestDistance && 2 * distance <= candidate.length) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

// Number of inserted, deleted, replaced and exchanged letters (optimal string alignment).
function editDistance(a: string, b: string): number {
  if (a.length > 60) return a.length;
  const rows: number[][] = [Array.from({ length: b.length + 1 }, (_, j) => j)];
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    const above = rows[i - 1] as number[];
    for (let j = 1; j <= b.length; j++) {
      const replaced = (above[j - 1] as number) + (a[i - 1] === b[j - 1] ? 0 : 1);
      let least = Math.min(replaced, (above[j] as number) + 1, (row[j - 1] as number) + 1);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        least = Math.min(least, ((rows[i - 2] as number[])[j - 2] as number) + 1);
      }
      row.push(least);
    }
    rows.push(row);
  }
  return (rows[a.length] as number[])[b.length] as number;
}

function shorten(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

function kindOf(value: unknown): string {
  if (value === null) return "null";
  if (value === undefined) return "nothing";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object") return "an array of numbers";
  return `a ${typeof value}`;
}
