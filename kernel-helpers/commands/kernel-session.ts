// The forked process in which a notebook runs: the tslab kernel without Jupyter, sockets or Python. The working
// directory must be the notebook's folder before this file starts (the kernel fixes it when it is made).
import { inspect } from "node:util";
import type { CellToRun, FromKernel, ToKernel } from "./kernel-messages.js";

interface Display {
  readonly data: Readonly<Record<string, unknown>>;
  readonly metadata?: Readonly<Record<string, unknown>>;
  readonly transient?: { readonly display_id?: string };
}

interface Executor {
  interrupt(): void;
  close(): void;
}

interface Handler {
  handleKernel(): { readonly language_info: Readonly<Record<string, unknown>> };
  handleExecute(
    request: { readonly code: string },
    writeStream: (name: string, text: string) => void,
    writeDisplay: (display: Display, update: boolean | undefined) => void,
  ): Promise<{ readonly status: string; readonly execution_count?: number }>;
}

/** How long, in ms, late output and late failures of the last cell are waited for. */
const lateMs = 100;

function send(message: FromKernel): void {
  if (process.connected) process.send?.(message);
}

function makeKernel(): { executor: Executor; handler: Handler } {
  // Resolved from this file, so that the cells and the helper package share one tslab, wherever the notebook is.
  const { createConverter } = require("tslab/dist/converter") as {
    createConverter(options: { isJS: boolean; isBrowser: boolean }): { close(): void };
  };
  const { createExecutor } = require("tslab/dist/executor") as {
    createExecutor(folder: string, converters: object, console: object): Executor;
  };
  const { JupyterHandlerImpl } = require("tslab/dist/jupyter") as {
    JupyterHandlerImpl: new (executor: Executor, isJs: boolean) => Handler;
  };
  const node = createConverter({ isJS: false, isBrowser: false });
  const converters = { node, close: () => node.close() };
  const executor = createExecutor(process.cwd(), converters, { log: console.log, error: console.error });
  return { executor, handler: new JupyterHandlerImpl(executor, false) };
}

function languageInfo(handler: Handler): Readonly<Record<string, unknown>> {
  const { versions } = require("tslab") as { versions: { typescript: string } };
  return { ...handler.handleKernel().language_info, version: versions.typescript };
}

function wait(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(() => setImmediate(resolve), ms));
}

async function runCells(cells: readonly CellToRun[]): Promise<void> {
  const { executor, handler } = makeKernel();
  let current = cells[0]?.cell ?? 0;
  let stopped = false;
  const late = (reason: unknown): void => send({ kind: "late", cell: current, text: inspect(reason) });
  process.on("uncaughtException", late);
  process.on("unhandledRejection", late);
  process.on("SIGINT", () => executor.interrupt());
  process.on("message", (message: ToKernel) => {
    stopped ||= message.kind === "stop";
  });
  send({ kind: "ready", languageInfo: languageInfo(handler) });
  for (const { cell, code } of cells) {
    if (stopped) break;
    current = cell;
    send({ kind: "start", cell });
    const reply = await handler.handleExecute(
      { code },
      (name, text) => send({ kind: "stream", cell, name, text }),
      ({ data, metadata, transient }, update) =>
        send({
          kind: "display", cell, data, metadata: metadata ?? {}, update: update === true,
          ...(transient?.display_id === undefined ? {} : { displayId: transient.display_id }),
        }),
    );
    // A promise that was rejected without anyone waiting is reported in the next turn: still this cell's.
    await wait(0);
    send({ kind: "end", cell, status: reply.status, count: reply.execution_count ?? null });
    if (reply.status !== "ok") break;
  }
  await wait(lateMs);
  executor.close();
  process.send?.({ kind: "done" } satisfies FromKernel, () => process.exit(0));
}

process.on("disconnect", () => process.exit(1));
process.once("message", (message: ToKernel) => {
  if (message.kind === "run") void runCells(message.cells);
});
