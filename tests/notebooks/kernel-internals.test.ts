// What airpath relies on inside tslab 1.0.22 without its documentation promising it. A failure here means: look at
// the new version before changing the pin.
import { spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { clone, ensureBuilt } from "./fixtures/built.js";
import { ScratchFolders } from "./fixtures/written-notebook.js";

const fromClone = createRequire(join(clone, "package.json"));
const fromHelper = createRequire(join(clone, "kernel-helpers", "package.json"));
const scratch = new ScratchFolders();
beforeAll(ensureBuilt);
afterAll(() => scratch.removeAll());

/** What a script writes as JSON in a process of its own, whose folder sees the clone's packages. */
function inProcess(script: string): Record<string, unknown> {
  const folder = scratch.make();
  mkdirSync(join(folder, "node_modules"));
  for (const name of ["tslab", "airpath"]) {
    symlinkSync(join(clone, "node_modules", name), join(folder, "node_modules", name), "dir");
  }
  const result = spawnSync(process.execPath, ["-e", script], { cwd: folder, encoding: "utf8" });
  expect(result.stderr).toBe("");
  return JSON.parse(result.stdout) as Record<string, unknown>;
}

const kernel = `
const { createConverter } = require("tslab/dist/converter"), { createExecutor } = require("tslab/dist/executor");
const jupyter = require("tslab/dist/jupyter"), { display } = require("tslab");
const write = process.stdout.write.bind(process.stdout);
const node = createConverter({ isJS: false, isBrowser: false });
const executor = createExecutor(process.cwd(), { node, close: () => node.close() }, { log: console.log, error: console.error });
const handler = new jupyter.JupyterHandlerImpl(executor, false);
const finish = (value) => write(JSON.stringify(value), () => process.exit(0));
`;

describe("tslab", () => {
  it("is pinned to the version whose inside was read, once in the tree", () => {
    const wanted = (file: string, group: string): unknown =>
      (JSON.parse(readFileSync(join(clone, file), "utf8")) as Record<string, Record<string, string>>)[group]?.["tslab"];
    expect(wanted("package.json", "dependencies")).toBe("1.0.22");
    expect(wanted("kernel-helpers/package.json", "peerDependencies")).toBe("1.0.22");
    expect((fromClone("tslab/package.json") as { version: string }).version).toBe("1.0.22");
    expect(fromHelper.resolve("tslab")).toBe(fromClone.resolve("tslab"));
    expect((fromClone("tslab") as { versions: { typescript: string } }).versions.typescript).toBe("5.0.4");
  });

  it("has no writer outside a kernel", () => {
    const seen = inProcess(`
      const jupyter = require("tslab/dist/jupyter");
      let text = "";
      try { require("tslab").display.html("x"); } catch (problem) { text = problem.message; }
      process.stdout.write(JSON.stringify({ writer: jupyter.lastWriteDisplayData, text }));`);
    expect(seen).toEqual({ writer: null, text: "Not ready" });
  });

  it("has the signatures that the runner uses", () => {
    const seen = inProcess(`${kernel}
      finish({
        converter: Object.keys(node).sort(), executor: Object.keys(executor).sort(),
        counts: [createExecutor.length, jupyter.JupyterHandlerImpl.length, handler.handleExecute.length],
        kernel: handler.handleKernel().language_info.name,
      });`);
    expect(seen).toEqual({
      converter: ["addModule", "close", "complete", "convert", "inspect"],
      executor: ["close", "complete", "execute", "inspect", "interrupt", "locals", "reset"],
      counts: [3, 2, 3],
      kernel: "typescript",
    });
  });

  it("gives each cell its own writer, and hands whole bundles and updates on", () => {
    const seen = inProcess(`${kernel}
      const heard = [];
      (async () => {
        const run = (name, code) => handler.handleExecute({ code },
          (stream, text) => heard.push([name, stream, text]), (shown, update) => heard.push([name, shown, Boolean(update)]));
        const replies = [];
        replies.push(await run("first", 'require("tslab").display.html("<b>")'));
        const writer = jupyter.lastWriteDisplayData;
        replies.push(await run("second", 'const d = require("tslab").newDisplay(); d.text("1"); d.text("2"); 40 + 2'));
        jupyter.lastWriteDisplayData({ data: { "text/html": "x", "application/x+json": { a: 1 } }, metadata: {}, transient: {} }, false);
        replies.push(await run("third", "const a: string = 1;"));
        replies.push(await run("fourth", "1"));
        const ids = heard.map(([, shown]) => shown.transient && shown.transient.display_id);
        for (const [, shown] of heard) delete shown.transient;
        finish({ heard, replies, changed: writer !== jupyter.lastWriteDisplayData, same: ids[1] !== undefined && ids[1] === ids[2] });
      })();`);
    expect(seen).toEqual({
      heard: [
        ["first", { data: { "text/html": "<b>" }, metadata: {} }, false],
        ["second", { data: { "text/plain": "1" }, metadata: {} }, false],
        ["second", { data: { "text/plain": "2" }, metadata: {} }, true],
        ["second", "stdout", "42\n"],
        ["second", { data: { "text/html": "x", "application/x+json": { a: 1 } }, metadata: {} }, false],
        ["third", "stderr", "1:7 - Type 'number' is not assignable to type 'string'.\n"],
      ],
      // The cell after a failing one is refused for a moment: the runner stops there.
      replies: [
        { status: "ok", execution_count: 1 },
        { status: "ok", execution_count: 2 },
        { status: "error", execution_count: 3 },
        { status: "abort" },
      ],
      changed: true,
      same: true,
    });
  });

  // why every example writes { sweep: sweep }: a short form { sweep } is left as it is, and the name of an earlier cell does not exist under itself
  it("does not find what an earlier cell made in the short form of an object, and finds it in the long one", () => {
    const seen = inProcess(`${kernel}
      (async () => {
        const heard = [];
        const run = (code) => handler.handleExecute({ code }, (stream, text) => heard.push(stream + ": " + text.trim()), () => {});
        await run("const sweep = 7;");
        await run("({ sweep: sweep }).sweep");
        await run("const own = 8; ({ own }).own");
        await run("({ sweep }).sweep");
        finish({ heard: heard.map((text) => (text.includes("ReferenceError: sweep is not defined") ? "short form: not defined" : text)) });
      })();`);
    expect(seen).toEqual({ heard: ["stdout: 7", "stdout: 8", "short form: not defined"] });
  });

  it("completes names of the package and shows their doc comments", () => {
    const seen = inProcess(`${kernel}
      (async () => {
        await handler.handleExecute({ code: 'import * as errors from "airpath/dist/src/errors";' }, () => {}, () => {});
        const code = "errors.InputError";
        finish({
          matches: handler.handleComplete({ code: "errors.", cursor_pos: 7 }).matches,
          text: handler.handleInspect({ code, cursor_pos: code.length }).data["text/plain"],
        });
      })();`);
    expect(seen["matches"]).toEqual(expect.arrayContaining(["AirpathError", "FileError", "InputError", "SolveError"]));
    expect(seen["text"]).toContain("A value, an option or a combination of values that cannot be used as it is.");
  });
});

describe("the built declarations, read by the kernel's own TypeScript", () => {
  interface Diagnostic {
    readonly file?: { readonly fileName: string };
    readonly messageText: unknown;
  }
  interface Compiler {
    readonly version: string;
    readonly sys: object;
    createProgram(files: readonly string[], options: object): object;
    getPreEmitDiagnostics(program: object): readonly Diagnostic[];
  }
  const compiler = createRequire(fromClone.resolve("tslab"))("@tslab/typescript-for-tslab") as Compiler;

  /** Messages inside files below a folder, when these files are read as the kernel reads them but checked as well. */
  function problems(files: readonly string[], folder: string): string[] {
    const options = {
      noEmit: true, skipLibCheck: false, moduleResolution: 2, module: 99, target: 9,
      lib: ["lib.es2022.d.ts"], types: [], esModuleInterop: true,
    };
    return compiler
      .getPreEmitDiagnostics(compiler.createProgram(files, options))
      .filter((one) => one.file?.fileName.startsWith(folder))
      .map((one) => `${one.file?.fileName.slice(folder.length)}: ${JSON.stringify(one.messageText)}`);
  }

  it("have no error", () => {
    const dist = join(clone, "kernel-helpers", "dist");
    const files = readdirSync(join(dist, "src"), { recursive: true, encoding: "utf8" })
      .filter((name) => name.endsWith(".d.ts"))
      .map((name) => join(dist, "src", name));
    expect(files.length).toBeGreaterThan(4);
    const faces = readdirSync(join(dist, "kernel-helpers")).filter((name) => name === "index.d.ts");
    expect(compiler.version).toBe("5.0.4");
    expect(problems([...files, ...faces.map((name) => join(dist, "kernel-helpers", name))], dist)).toEqual([]);
  });

  it("would be found out if they used what this TypeScript cannot read", () => {
    const folder = scratch.make();
    const file = join(folder, "newer.d.ts");
    writeFileSync(file, "export declare const values: Float64Array<ArrayBuffer>;\n");
    expect(problems([file], folder)).toEqual([expect.stringContaining("Type 'Float64Array' is not generic")]);
  });
});
