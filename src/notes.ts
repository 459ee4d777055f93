/**
 * What a result wants to say without throwing: a range left, rows skipped, a shift applied.
 * Notes travel with results, stand under figures and are counted in tests.
 */
export interface Note {
  /** "remark" informs; "warning" says that a number should not be trusted as it is */
  readonly severity: "remark" | "warning";
  /** what it is about: a file, a design, a frequency range */
  readonly where: string;
  /** one sentence, plain words */
  readonly text: string;
  /** the result that it belongs to, such as "excursion"; missing where it concerns all of them */
  readonly about?: string;
}

/** A remark: a decision taken or a fact to know. */
export function remark(where: string, text: string, options: Pick<Note, "about"> = {}): Note {
  return Object.freeze({ severity: "remark", where, text, ...options });
}

/** A warning: a number that should not be trusted as it is. */
export function warning(where: string, text: string, options: Pick<Note, "about"> = {}): Note {
  return Object.freeze({ severity: "warning", where, text, ...options });
}
