// What the notebook runner and the kernel process it forks say to each other.

/** A code cell to run. */
export interface CellToRun {
  /** place of the cell in the notebook, from 0, no unit */
  readonly cell: number;
  readonly code: string;
}

/** From the runner: run these cells in order, or start no further cell. */
export type ToKernel = { readonly kind: "run"; readonly cells: readonly CellToRun[] } | { readonly kind: "stop" };

/** From the kernel process, in the order in which it happened. */
export type FromKernel =
  | { readonly kind: "ready"; readonly languageInfo: Readonly<Record<string, unknown>> }
  | { readonly kind: "start"; readonly cell: number }
  | { readonly kind: "stream"; readonly cell: number; readonly name: string; readonly text: string }
  | {
      readonly kind: "display";
      readonly cell: number;
      readonly data: Readonly<Record<string, unknown>>;
      readonly metadata: Readonly<Record<string, unknown>>;
      readonly displayId?: string;
      readonly update: boolean;
    }
  | { readonly kind: "late"; readonly cell: number; readonly text: string }
  | { readonly kind: "end"; readonly cell: number; readonly status: string; readonly count: number | null }
  | { readonly kind: "done" };
