import { expect } from "vitest";

/** One comparison with a published value. */
export interface PublishedCheck {
  /** where the value is from */
  readonly source: string;
  /** the published value, as text */
  readonly wanted: string;
  /** what this project gives, as text */
  readonly got: string;
  /** absolute, in the unit of the value */
  readonly deviation: number;
  /** magnitude of the published value, in its unit */
  readonly size: number;
  /** largest deviation that passes, in the unit of the value */
  readonly allowed: number;
}

/** The comparisons of one test that have one source: the one nearest to its limit stands for all. */
export interface PublishedRow extends PublishedCheck {
  /** how many comparisons there were, no unit */
  readonly count: number;
}

declare module "vitest" {
  interface TaskMeta {
    /** comparisons with published values, one row for each source */
    published?: readonly PublishedRow[];
  }
}

let rows = new Map<string, PublishedRow>();

/** Keeps a comparison of a test in tests/published; those of other tests are passed over. */
export function recordCheck(check: PublishedCheck): void {
  if (!/[\\/]published[\\/][^\\/]+$/.test(expect.getState().testPath ?? "")) return;
  const before = rows.get(check.source);
  const isWorse = before === undefined || !(share(check) <= share(before));
  rows.set(check.source, { ...(isWorse ? check : before), count: (before?.count ?? 0) + 1 });
}

/** The rows since the last call. */
export function takeRows(): readonly PublishedRow[] {
  const taken = [...rows.values()];
  rows = new Map();
  return taken;
}

/** How much of what is allowed was used. */
function share(check: PublishedCheck): number {
  return check.deviation === 0 ? 0 : check.deviation / check.allowed;
}
