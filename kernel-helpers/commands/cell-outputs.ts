import { type CellOutput, splitText } from "./notebook-file.js";
import { readFailure, type Failure } from "./failure-text.js";

type Collected =
  | { kind: "stream"; name: string; text: string }
  | { kind: "display"; data: Readonly<Record<string, unknown>>; metadata: Readonly<Record<string, unknown>> }
  | { kind: "error"; failure: Failure };

/** The outputs of a running notebook: pieces go in as the kernel sends them, stored outputs come out. */
export class CellOutputs {
  readonly #byCell: Map<number, Collected[]> = new Map();
  readonly #byDisplay: Map<string, Extract<Collected, { kind: "display" }>[]> = new Map();
  readonly #shorten: (text: string) => string;

  /** @param shorten  takes the paths of this machine out of a text before it is stored */
  constructor(shorten: (text: string) => string) {
    this.#shorten = shorten;
  }

  #of(cell: number): Collected[] {
    let list = this.#byCell.get(cell);
    if (!list) this.#byCell.set(cell, (list = []));
    return list;
  }

  /** Adds a piece of standard output or standard error. */
  stream(cell: number, piece: { readonly name: string; readonly text: string }): void {
    this.#of(cell).push({ kind: "stream", name: piece.name, text: piece.text });
  }

  /** Adds a displayed thing, or replaces all with the same display id, whichever cell they belong to. */
  display(cell: number, shown: {
    readonly data: Readonly<Record<string, unknown>>;
    readonly metadata: Readonly<Record<string, unknown>>;
    readonly displayId?: string;
    readonly update: boolean;
  }): void {
    const { data, metadata, displayId } = shown;
    const same = displayId === undefined ? [] : (this.#byDisplay.get(displayId) ?? []);
    for (const old of same) Object.assign(old, { data, metadata });
    if (shown.update) return;
    const entry = { kind: "display" as const, data, metadata };
    this.#of(cell).push(entry);
    if (displayId !== undefined) this.#byDisplay.set(displayId, [...same, entry]);
  }

  /** Turns what the kernel wrote last to standard error into an error output, or puts another failure in its place. */
  failFromStream(cell: number, instead?: Failure): Failure {
    const list = this.#of(cell);
    const pieces: string[] = [];
    for (let last = list.at(-1); last?.kind === "stream" && last.name === "stderr"; last = list.at(-1)) {
      // Type errors come one line a piece, everything else as one piece.
      const isTypeError = /^(\S+ )?\d+:\d+ - /.test(last.text);
      if (pieces.length > 0 && !isTypeError) break;
      pieces.unshift(last.text);
      list.pop();
      if (!isTypeError) break;
    }
    return this.fail(cell, instead ?? readFailure(this.#shorten(pieces.join(""))));
  }

  /** Adds an error output; returns it. */
  fail(cell: number, failure: Failure): Failure {
    this.#of(cell).push({ kind: "error", failure });
    return failure;
  }

  /** The outputs of a cell in stored form: consecutive pieces of one stream joined, no display ids. */
  stored(cell: number): CellOutput[] {
    const joined: Collected[] = [];
    for (const entry of this.#byCell.get(cell) ?? []) {
      const last = joined.at(-1);
      if (entry.kind === "stream" && last?.kind === "stream" && last.name === entry.name) last.text += entry.text;
      else joined.push({ ...entry });
    }
    return joined.map((entry): CellOutput => {
      if (entry.kind === "stream") {
        return { name: entry.name, output_type: "stream", text: splitText(this.#shorten(entry.text)) };
      }
      if (entry.kind === "display") {
        return { data: this.#storedData(entry.data), metadata: entry.metadata, output_type: "display_data" };
      }
      const { name, message, lines } = entry.failure;
      return { ename: name, evalue: message, output_type: "error", traceback: lines };
    });
  }

  #storedData(data: Readonly<Record<string, unknown>>): Record<string, unknown> {
    return Object.fromEntries(
      Object.entries(data).map(([type, value]) => {
        const isText = /^text\/|^image\/svg\+xml|^application\/(javascript|xml)/.test(type);
        return [type, typeof value === "string" && isText ? splitText(this.#shorten(value)) : value];
      }),
    );
  }
}
