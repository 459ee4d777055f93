/** What an error says, in the four parts every message is made of. */
export interface ErrorParts {
  /** where it happened: a field such as "driver.Vas", or a file with row and column */
  readonly where: string;
  /** what came, in the user's own spelling */
  readonly came: string;
  /** what is expected instead */
  readonly expected: string;
  /** at most one sentence of advice */
  readonly hint?: string;
}

/**
 * Base of the three errors that airpath throws on purpose. The message reads
 * `where: came; expected. hint.` and the kernel prints that text and nothing else
 * (no stack), because of the inspect method defined below.
 */
export class AirpathError extends Error {
  readonly where: string;
  readonly came: string;
  readonly expected: string;
  readonly hint: string | undefined;

  constructor(parts: ErrorParts) {
    super(`${parts.where}: ${parts.came}; ${parts.expected}.${parts.hint ? ` ${parts.hint}.` : ""}`);
    this.name = "AirpathError";
    this.where = parts.where;
    this.came = parts.came;
    this.expected = parts.expected;
    this.hint = parts.hint;
  }
}

// The text that Node's inspect, and so the notebook kernel, prints for these errors.
Object.defineProperty(AirpathError.prototype, Symbol.for("nodejs.util.inspect.custom"), {
  value(this: AirpathError): string {
    return `${this.name}: ${this.message}`;
  },
});

/** A value, an option or a combination of values that cannot be used as it is. */
export class InputError extends AirpathError {
  constructor(parts: ErrorParts) {
    super(parts);
    this.name = "InputError";
  }
}

/** A file that cannot be read, with the place in it: file, row (1 = first line of the file) and field. */
export class FileError extends AirpathError {
  /** name of the file as the user gave it */
  readonly file: string;
  /** line of the file, first line is 1; undefined when the file as a whole is meant */
  readonly row: number | undefined;
  /** column heading or number; undefined when the row as a whole is meant */
  readonly field: string | undefined;

  constructor(parts: { file: string; row?: number; field?: string; came: string; expected: string; hint?: string }) {
    const row = parts.row === undefined ? "" : `, row ${parts.row}`;
    const field = parts.field === undefined ? "" : `, column "${parts.field}"`;
    super({ where: `${parts.file}${row}${field}`, came: parts.came, expected: parts.expected, hint: parts.hint });
    this.name = "FileError";
    this.file = parts.file;
    this.row = parts.row;
    this.field = parts.field;
  }
}

/** A system of equations without a finite solution at the frequency named. */
export class SolveError extends AirpathError {
  constructor(parts: ErrorParts) {
    super(parts);
    this.name = "SolveError";
  }
}
