import { InputError } from "../../src/errors.js";

/** Mime types with their values: text, or a plain object for JSON types. */
export type Bundle = Readonly<Record<string, unknown>>;

/** Where an output goes. */
export interface EmitOptions {
  /** names the output so that a later call can replace it; none when missing */
  readonly displayId?: string;
  /** true replaces the output of that name; false adds one */
  readonly update?: boolean;
}

/** Takes outputs in place of the kernel. */
export type Sink = (bundle: Bundle, options: EmitOptions) => void;

interface KernelMessage {
  readonly data: Bundle;
  readonly metadata: Record<string, never>;
  readonly transient: { readonly display_id?: string };
}

/** Properties of tslab 1.0.22; the writer is replaced for every cell and null before the first one. */
interface KernelModules {
  readonly jupyter: { readonly lastWriteDisplayData?: ((message: KernelMessage, update: boolean) => void) | null };
  readonly tslab: { readonly display?: { html(text: string): void } };
}

let replacement: Sink | undefined;

/**
 * Sends outputs to a function instead of the kernel, for tests and pages; no unit.
 *
 * @param sink  undefined: to the kernel again
 */
export function setSink(sink: Sink | undefined): void {
  replacement = sink;
}

/** Whether an output would arrive anywhere: a cell is running, or a sink is set. */
export function canDisplay(): boolean {
  return replacement !== undefined || kernelWriter() !== undefined;
}

/**
 * One output of the running cell, in all its types at once; no unit.
 *
 * @param bundle   value by mime type
 * @param options  name of the output, and whether it replaces the one of that name
 * @throws InputError  outside the kernel, when no sink is set
 */
export function emit(bundle: Bundle, options: EmitOptions = {}): void {
  if (replacement) {
    replacement(bundle, options);
    return;
  }
  const write = kernelWriter();
  if (!write) {
    throw new InputError({
      where: "show",
      came: "no notebook cell is running",
      expected: "outputs go to a cell of the tslab kernel",
      hint: "In a program, give setSink (show/display) a function that takes the outputs, or call views() of the thing",
    });
  }
  write(bundle, options);
}

function kernelWriter(): Sink | undefined {
  const { jupyter, tslab } = kernelModules();
  if (jupyter?.lastWriteDisplayData) {
    const write = jupyter.lastWriteDisplayData;
    return (bundle, { displayId, update }) => {
      const transient = displayId === undefined ? {} : { display_id: displayId };
      write({ data: bundle, metadata: {}, transient }, update === true);
    };
  }
  // Another version of the kernel may hide the writer: then the public call shows the HTML alone.
  if (jupyter && !("lastWriteDisplayData" in jupyter) && tslab?.display) {
    const { display } = tslab;
    return (bundle, { update }) => {
      if (update !== true) display.html(String(bundle["text/html"] ?? bundle["text/plain"] ?? ""));
    };
  }
  return undefined;
}

/** The kernel's modules when this process is a kernel: only what is loaded already, nothing is loaded here. */
function kernelModules(): Partial<KernelModules> {
  const loaded = (name: string): unknown => {
    try {
      return require.cache[require.resolve(name)]?.exports;
    } catch {
      return undefined;
    }
  };
  return { jupyter: loaded("tslab/dist/jupyter"), tslab: loaded("tslab") } as Partial<KernelModules>;
}
