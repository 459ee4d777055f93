import { expect } from "vitest";
import { recordCheck } from "./published-checks.js";

/**
 * Fails unless two numbers agree within a relative tolerance (or an absolute one where that is larger); says which source the expected value is from.
 */
export function expectClose(got: number, wanted: number, relative: number, source: string, absolute = 0): void {
  const allowed = Math.max(relative * Math.abs(wanted), absolute);
  recordCheck({ source, wanted: shown(wanted), got: shown(got), deviation: Math.abs(got - wanted), size: Math.abs(wanted), allowed });
  if (!(Math.abs(got - wanted) <= allowed)) {
    expect.fail(`got ${got}, expected ${wanted} within ${allowed.toExponential(2)} (deviation ${(got - wanted).toExponential(3)}); source: ${source}`);
  }
}

/** The same for complex numbers, relative to the magnitude of the expected one. */
export function expectComplexClose(got: readonly [number, number], wanted: readonly [number, number], relative: number, source: string): void {
  const size = Math.hypot(...wanted);
  const off = Math.hypot(got[0] - wanted[0], got[1] - wanted[1]);
  recordCheck({ source, wanted: wanted.map(shown).join(" + j "), got: got.map(shown).join(" + j "), deviation: off, size, allowed: relative * size });
  if (!(off <= relative * size)) {
    expect.fail(`got ${got.join(" + j ")}, expected ${wanted.join(" + j ")}, off by ${(off / size).toExponential(3)} of the magnitude; source: ${source}`);
  }
}

/** Largest relative deviation between two series, relative to the largest magnitude of the expected one, and its place. */
export function largestDeviation(got: ArrayLike<number>, wanted: ArrayLike<number>): { readonly size: number; readonly at: number } {
  let top = 0;
  for (let i = 0; i < wanted.length; i++) top = Math.max(top, Math.abs(wanted[i]!));
  let size = 0, at = 0;
  for (let i = 0; i < wanted.length; i++) {
    const d = Math.abs(got[i]! - wanted[i]!) / top;
    if (!(d <= size)) {
      size = d;
      at = i;
    }
  }
  return { size, at };
}

function shown(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(6))) : String(value);
}
