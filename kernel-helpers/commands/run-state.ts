import { CellOutputs } from "./cell-outputs.js";
import type { CellProgress } from "./cell-progress.js";
import { type Failure, failureText, readFailure } from "./failure-text.js";
import type { FromKernel } from "./kernel-messages.js";
import type { Notebook, NotebookCell } from "./notebook-file.js";

/** A cell that failed. */
export interface CellFailure extends CellProgress {
  /** what the cell says about it, paths of this machine shortened */
  readonly text: string;
}

/** What is known about a notebook while its cells run: it hears the kernel's messages and makes the result. */
export class RunState {
  readonly failures: CellFailure[] = [];
  /** why the run is being stopped; undefined while it is not */
  stopReason: Failure | undefined;
  /** whether the kernel said that it came to its end */
  isDone = false;
  readonly #outputs: CellOutputs;
  readonly #counts: Map<number, number | null> = new Map();
  #place: CellProgress | undefined;
  #languageInfo: Readonly<Record<string, unknown>> | undefined;

  constructor(
    private readonly places: readonly CellProgress[],
    private readonly shorten: (text: string) => string,
  ) {
    this.#outputs = new CellOutputs(shorten);
    this.#place = places[0];
  }

  /** Takes a message of the kernel; returns the cell when it is one that starts. */
  hear(message: FromKernel): CellProgress | undefined {
    switch (message.kind) {
      case "ready":
        this.#languageInfo = message.languageInfo;
        break;
      case "start":
        this.#place = this.#at(message.cell);
        return this.#place;
      case "stream":
        this.#outputs.stream(message.cell, message);
        break;
      case "display":
        this.#outputs.display(message.cell, message);
        break;
      case "late":
        this.#note(this.#at(message.cell), this.#outputs.fail(message.cell, readFailure(this.shorten(message.text))));
        break;
      case "end":
        this.#counts.set(message.cell, message.count);
        if (message.status !== "ok") {
          this.#note(this.#at(message.cell), this.#outputs.failFromStream(message.cell, this.stopReason));
        } else if (this.stopReason) this.fail(this.stopReason);
        break;
      case "done":
        this.isDone = true;
    }
    return undefined;
  }

  /** Notes a failure of the cell that runs, or of the one that ran last. */
  fail(failure: Failure): void {
    if (this.#place) this.#note(this.#place, this.#outputs.fail(this.#place.cell, failure));
  }

  /** The notebook with the outputs. */
  result(given: Notebook): Notebook {
    const language = this.#languageInfo === undefined ? {} : { language_info: this.#languageInfo };
    return {
      cells: withIds(given.cells).map((cell, index) => (cell.cell_type === "code" ? this.#resultCell(cell, index) : cell)),
      metadata: { ...given.metadata, ...language },
      nbformat: 4,
      nbformat_minor: Math.max(5, given.nbformat_minor ?? 0),
    };
  }

  #resultCell(cell: NotebookCell, index: number): NotebookCell {
    // Times of an earlier run, as other programs leave them in the metadata, would be wrong now.
    const { execution: _, ...metadata } = cell.metadata ?? {};
    return { ...cell, metadata, execution_count: this.#counts.get(index) ?? null, outputs: this.#outputs.stored(index) };
  }

  #at(cell: number): CellProgress | undefined {
    return this.places.find((place) => place.cell === cell);
  }

  #note(place: CellProgress | undefined, failure: Failure): void {
    if (place) this.failures.push({ ...place, text: failureText(failure) });
  }
}

/** The cells, each with the id that notebook format 4.5 asks for; ids that are there are kept. */
function withIds(cells: readonly NotebookCell[]): NotebookCell[] {
  const taken = new Set(cells.map((cell) => cell.id));
  return cells.map((cell, index) => {
    if (cell.id !== undefined) return cell;
    let id = `cell-${index + 1}`;
    while (taken.has(id)) id += "x";
    taken.add(id);
    return { id, ...cell };
  });
}
