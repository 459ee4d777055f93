import { spawn, spawnSync } from "node:child_process";
import { appendFileSync, existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { notebookText, type CellOutput } from "../../kernel-helpers/commands/notebook-file.js";
import { type NotebookRun, runNotebook } from "../../kernel-helpers/commands/run-notebook.js";
import { FileError, InputError } from "../../src/errors.js";
import { clone, ensureBuilt } from "./fixtures/built.js";
import { notebookOf, ScratchFolders } from "./fixtures/written-notebook.js";

const scratch = new ScratchFolders();
beforeAll(ensureBuilt);
afterAll(() => scratch.removeAll());

const run = (cells: readonly string[], timeoutSeconds = 60): Promise<NotebookRun> =>
  runNotebook(scratch.notebook(cells), { timeoutSeconds });

function outputsOf(result: NotebookRun, cell: number): readonly CellOutput[] {
  return result.notebook.cells[cell]?.outputs ?? [];
}

describe("a notebook that is all right", () => {
  const cells = [
    "# First",
    'import { display, newDisplay } from "tslab";\nconst shown = newDisplay();\nshown.html("<b>first</b>");',
    "## Second part",
    'process.stdout.write("a"); process.stdout.write("b\\n"); console.error("aside"); console.log("c"); 6 * 7',
    'shown.html("<b>last</b>"); display.png(Buffer.from("not a picture")); display.svg("<svg>\\n</svg>");',
    "",
    "await new Promise((later) => setTimeout(later, 5));\nprocess.cwd()",
  ];

  it("keeps source and ids, counts the cells that ran, and stores every kind of output", async () => {
    const heard: string[] = [];
    const file = scratch.notebook(cells);
    const result = await runNotebook(file, { onCell: ({ number, count, title }) => heard.push(`${number}/${count} ${title}`) });
    expect(result.failures).toEqual([]);
    expect(result.ok).toBe(true);
    expect(heard).toEqual(["1/4 First", "2/4 Second part", "3/4 Second part", "4/4 Second part"]);
    const { notebook } = result;
    expect(notebook.cells.map((cell) => cell.id)).toEqual(cells.map((_, index) => `given-${index}`));
    expect(notebook.cells.map((cell) => cell.source)).toEqual(cells);
    expect(notebook.cells.map((cell) => cell.execution_count)).toEqual([undefined, 1, undefined, 2, 3, null, 4]);
    expect(notebook.metadata["language_info"]).toMatchObject({ name: "typescript", file_extension: ".ts", version: "5.0.4" });
    // The update of a later cell replaces the output of the earlier one, and no display id is stored.
    expect(outputsOf(result, 1)).toEqual([{ data: { "text/html": ["<b>last</b>"] }, metadata: {}, output_type: "display_data" }]);
    expect(outputsOf(result, 3)).toEqual([
      { name: "stdout", output_type: "stream", text: ["ab\n"] },
      { name: "stderr", output_type: "stream", text: ["aside\n"] },
      { name: "stdout", output_type: "stream", text: ["c\n", "42\n"] },
    ]);
    expect(outputsOf(result, 4)).toEqual([
      { data: { "image/png": Buffer.from("not a picture").toString("base64") }, metadata: {}, output_type: "display_data" },
      { data: { "image/svg+xml": ["<svg>\n", "</svg>"] }, metadata: {}, output_type: "display_data" },
    ]);
    expect(outputsOf(result, 6)).toEqual([{ name: "stdout", output_type: "stream", text: [".\n"] }]);
    expect(JSON.stringify(notebook)).not.toContain(dirname(file));
  });

  it("gives the same bytes again", async () => {
    const file = scratch.notebook(cells);
    const [first, second] = await Promise.all([runNotebook(file), runNotebook(file)]);
    expect(notebookText(first.notebook)).toBe(notebookText(second.notebook));
  });

  it("collects headline numbers in order and leaves other shapes out", async () => {
    const bundle = (entries: string): string =>
      `require("tslab/dist/jupyter").lastWriteDisplayData({ data: { "application/vnd.airpath.headline+json": { entries: ${entries} }, "text/plain": "x" }, metadata: {}, transient: {} }, false);`;
    const file = scratch.notebook([
      `${bundle('[{ name: "lowest", value: 38.25, unit: "Hz", text: "38.3 Hz" }, { name: "broken" }]')}`,
      `${bundle('[{ name: "ratio", value: 2, unit: "", text: "2" }]')}`,
    ]);
    // tslab's inner files are found from the clone only; a notebook reaches them through its node_modules.
    mkdirSync(join(dirname(file), "node_modules"));
    symlinkSync(join(clone, "node_modules", "tslab"), join(dirname(file), "node_modules", "tslab"), "dir");
    const result = await runNotebook(file);
    expect(result.failures).toEqual([]);
    expect(result.headlines).toEqual([
      { name: "lowest", value: 38.25, unit: "Hz", text: "38.3 Hz" },
      { name: "ratio", value: 2, unit: "", text: "2" },
    ]);
  });

  it("runs a notebook without code, and gives ids to cells without", async () => {
    const file = join(scratch.make(), "old.ipynb");
    const cell = { cell_type: "markdown", metadata: {}, source: ["# Only\n", "text"] };
    writeFileSync(file, JSON.stringify({ cells: [cell, { ...cell, id: "cell-1" }], metadata: {}, nbformat: 4, nbformat_minor: 2 }));
    const result = await runNotebook(file);
    expect(result.ok).toBe(true);
    expect(result.notebook.nbformat_minor).toBe(5);
    expect(result.notebook.cells.map((one) => one.id)).toEqual(["cell-1x", "cell-1"]);
  });
});

describe("a notebook with a fault", () => {
  it("reports every type error of a cell, runs nothing of it and nothing after it", async () => {
    const result = await run(["# Part", 'console.log("ran");\nconst a: string = 1;\nconst b: number = "x";', 'console.log("later")']);
    expect(result.ok).toBe(false);
    expect(result.failures).toHaveLength(1);
    expect(result.failures[0]).toMatchObject({ cell: 1, number: 1, count: 2, title: "Part" });
    const lines = [
      "2:7 - Type 'number' is not assignable to type 'string'.",
      "3:7 - Type 'string' is not assignable to type 'number'.",
    ];
    expect(result.failures[0]?.text).toBe(lines.join("\n"));
    expect(outputsOf(result, 1)).toEqual([{ ename: "TypeCheck", evalue: lines[0], output_type: "error", traceback: lines }]);
    expect(result.notebook.cells[2]).toMatchObject({ execution_count: null, outputs: [] });
  });

  it("stores what was written before a throw, and the throw as an error without paths or kernel frames", async () => {
    const result = await run(['console.error("before");\nthrow new RangeError("too far");']);
    const [before, error] = outputsOf(result, 0);
    expect(before).toEqual({ name: "stderr", output_type: "stream", text: ["before\n"] });
    expect(error).toMatchObject({ ename: "RangeError", evalue: "too far", output_type: "error" });
    expect(JSON.stringify(error)).not.toMatch(/tslab|node:|\/tmp|\\\\tmp/);
    expect(result.failures[0]?.text).toContain("RangeError: too far");
  });

  it("shows an error of airpath as its one line", async () => {
    const file = join(clone, "kernel-helpers", "dist", "src", "errors.js");
    const result = await run([
      `const { InputError } = require(${JSON.stringify(file)});\nawait null;\nthrow new InputError({ where: "driver.Vas", came: '"7.9 cm" is a length', expected: "a volume is expected" });`,
    ]);
    expect(outputsOf(result, 0)).toEqual([
      {
        ename: "InputError",
        evalue: 'driver.Vas: "7.9 cm" is a length; a volume is expected.',
        output_type: "error",
        traceback: ['InputError: driver.Vas: "7.9 cm" is a length; a volume is expected.'],
      },
    ]);
  });

  it("names the files of the helper in a trace without the folder of the clone", async () => {
    const file = join(clone, "kernel-helpers", "dist", "src", "errors.js");
    const result = await run([`const { InputError } = require(${JSON.stringify(file)});\nnew InputError(undefined);`]);
    const text = result.failures[0]?.text ?? "";
    expect(text).toContain("airpath/kernel-helpers/dist/src/errors.js:");
    expect(JSON.stringify(result.notebook.cells[0]?.outputs)).not.toContain(clone);
  });

  it("counts a rejected promise that nobody waits for, and a throw in a timer of the last cell", async () => {
    const result = await run(['Promise.reject(new Error("nobody waits")); 1;', 'setTimeout(() => { throw new Error("from a timer"); }, 20);']);
    expect(result.failures.map(({ cell, text }) => [cell, text.split("\n").find((line) => line.startsWith("Error"))])).toEqual([
      [0, "Error: nobody waits"],
      [1, "Error: from a timer"],
    ]);
    expect(result.ok).toBe(false);
    expect(outputsOf(result, 0).at(-1)).toMatchObject({ ename: "Error", evalue: "nobody waits" });
  });

  it("takes process.exit in a cell for a failure and keeps the outputs before it", async () => {
    const result = await run(['console.log("kept");', 'console.log("also kept"); process.exit(0);', "1"]);
    expect(result.failures).toHaveLength(1);
    expect(result.failures[0]).toMatchObject({ cell: 1 });
    expect(result.failures[0]?.text).toMatch(/^KernelEnded: .*exit code 0/);
    expect(outputsOf(result, 0)).toMatchObject([{ text: ["kept\n"] }]);
    expect(outputsOf(result, 1)[0]).toMatchObject({ text: ["also kept\n"] });
  });

  // An interrupt ends a loop in the first turn and a promise that is waited for, but no loop after an await.
  it.concurrent.each([
    ["a loop", "while (true) {}", 2],
    ["a loop after an await", "await null; while (true) {}", null],
    ["a promise that never settles", "await new Promise(() => setInterval(() => undefined, 50));", 2],
  ])("stops %s at the time limit", async (_, code, count) => {
    const result = await run(['console.log("before");', code, "1"], 3);
    expect(result.failures.map(({ cell, text }) => [cell, text])).toEqual([
      [1, "TimeLimit: the cell ran longer than 3 s and was stopped"],
    ]);
    expect(outputsOf(result, 0)).toMatchObject([{ text: ["before\n"] }]);
    // Where the kernel itself ended the cell it also counted it; null means that it had to be killed.
    expect(result.notebook.cells[1]?.execution_count).toBe(count);
  }, 120_000);

  it("refuses what is no notebook for this kernel", async () => {
    const folder = scratch.make();
    const write = (text: string): string => {
      const file = join(folder, "odd.ipynb");
      writeFileSync(file, text);
      return file;
    };
    await expect(runNotebook(join(folder, "none.ipynb"))).rejects.toThrow(FileError);
    await expect(runNotebook(write("not json"))).rejects.toThrow(/not JSON/);
    await expect(runNotebook(write('{"nbformat":3}'))).rejects.toThrow(/notebook format 3/);
    const python = { cells: [], metadata: { kernelspec: { language: "python" } }, nbformat: 4, nbformat_minor: 5 };
    await expect(runNotebook(write(JSON.stringify(python)))).rejects.toThrow(/a notebook for python/);
    await expect(runNotebook(write("{}"), { timeoutSeconds: 0 })).rejects.toThrow(InputError);
  });
});

describe("the command line", () => {
  const airpath = join(clone, "kernel-helpers", "airpath.cjs");

  function start(args: readonly string[], cwd: string): { child: ReturnType<typeof spawn>; end: Promise<{ code: number | null; out: string; problem: string }> } {
    const child = spawn(process.execPath, [airpath, ...args], { cwd, stdio: ["ignore", "pipe", "pipe"] });
    let out = "";
    let problem = "";
    child.stdout.setEncoding("utf8").on("data", (piece: string) => (out += piece));
    child.stderr.setEncoding("utf8").on("data", (piece: string) => (problem += piece));
    return { child, end: new Promise((done) => child.on("close", (code) => done({ code, out, problem }))) };
  }

  it("writes the notebook and the page, and never over a file that was changed", async () => {
    const folder = dirname(scratch.notebook(["# Title", 'console.log("told");']));
    const first = await start(["run", "small.ipynb"], folder).end;
    expect(first).toMatchObject({ code: 0, problem: "" });
    expect(first.out).toContain("cell 1 of 1   Title");
    expect(first.out).toContain("records/small.html");
    const page = readFileSync(join(folder, "records", "small.html"), "utf8");
    expect(page).toContain("told");
    await start(["run", "small.ipynb"], folder).end;
    expect(readdirSync(join(folder, "records")).sort()).toEqual([".written-by-airpath.json", "small.html", "small.ipynb"]);
    appendFileSync(join(folder, "records", "small.html"), "<!-- mine -->");
    const third = await start(["run", "small.ipynb"], folder).end;
    expect(third.out).toMatch(/records\/small\.html was not left like this/);
    expect(readFileSync(join(folder, "records", "small.html"), "utf8")).toBe(`${page}<!-- mine -->`);
    expect(existsSync(join(folder, "records", "small-2.html"))).toBe(true);
    expect(existsSync(join(folder, "records", "small-2.ipynb"))).toBe(true);
  });

  it("ends with 1 and the cell's text when a cell fails, and with 2 for a wrong line", async () => {
    const folder = dirname(scratch.notebook(["# Title", 'throw new TypeError("no way");']));
    const failed = await start(["run", "small.ipynb", "-o", "out"], folder).end;
    expect(failed.code).toBe(1);
    expect(failed.problem).toContain("cell 1 of 1 (Title) failed:");
    expect(failed.problem).toContain("TypeError: no way");
    expect(readFileSync(join(folder, "out", "small.html"), "utf8")).toContain("no way");
    expect(await start(["rnu"], folder).end).toMatchObject({ code: 2, problem: 'airpath: no command "rnu"; did you mean "run"?\n' });
    expect(await start(["run", "--outptu", "x"], folder).end).toMatchObject({ code: 2, problem: 'airpath run: no option "--outptu"; did you mean "--output"?\n' });
    expect(await start(["run", "a", "-o"], folder).end).toMatchObject({ code: 2 });
    expect(await start(["run", "a", "b"], folder).end).toMatchObject({ code: 2 });
    expect(await start(["run", "none.ipynb"], folder).end).toMatchObject({ code: 1, problem: "FileError: none.ipynb: no such file; a notebook (.ipynb) is expected.\n" });
    expect((await start(["--version"], folder).end).out).toMatch(/^\d+\.\d+\.\d+\n$/);
    expect((await start(["run", "--help"], folder).end).out).toMatch(/--output <folder> .*\n[\s\S]*Exit codes/);
  });

  it("stops cleanly at an interrupt, with what came before it", async () => {
    const folder = dirname(scratch.notebook(['console.log("before");', 'console.log("loop"); while (true) {}']));
    const { child, end } = start(["run", "small.ipynb"], folder);
    await new Promise<void>((seen) => child.stdout?.on("data", (piece: string) => piece.includes("cell 2 of 2") && seen()));
    child.kill("SIGINT");
    const { code, problem } = await end;
    expect(code).toBe(1);
    expect(problem).toContain("Stopped: stopped by Ctrl-C");
    expect(readFileSync(join(folder, "records", "small.ipynb"), "utf8")).toContain("before");
  });
});

describe("a build of one's own, outside the clone", () => {
  const airpath = join(clone, "kernel-helpers", "airpath.cjs");

  /** A new build in a scratch folder, linked by npm without the network. */
  function newBuild(): string {
    const parent = scratch.make();
    const made = spawnSync(process.execPath, [airpath, "new-build", "My Van"], { cwd: parent, encoding: "utf8" });
    expect(made).toMatchObject({ status: 0, stderr: "" });
    expect(made.stdout).toContain("npm install");
    const folder = join(parent, "My Van");
    const { npmCommand } = createRequire(import.meta.url)("../../kernel-helpers/start.cjs") as {
      npmCommand(environment: object, platform: string): { program: string; before: string[]; shell: boolean };
    };
    const npm = npmCommand(process.env, process.platform);
    const args = [...npm.before, "install", "--offline", "--no-audit", "--no-fund"];
    const installed = spawnSync(npm.program, args, { cwd: folder, shell: npm.shell, encoding: "utf8" });
    expect(installed.status, installed.stderr).toBe(0);
    return folder;
  }

  it("finds the helper by a link, shares the clone's tslab with it, and is never written over", async () => {
    const folder = newBuild();
    expect(readdirSync(folder).sort()).toEqual([".gitignore", "my-van.ipynb", "node_modules", "package-lock.json", "package.json"]);
    expect(readdirSync(join(folder, "node_modules")).filter((name) => !name.startsWith("."))).toEqual(["airpath"]);
    const file = join(folder, "probe.ipynb");
    writeFileSync(file, JSON.stringify(notebookOf([
      'import { InputError } from "airpath/dist/src/errors";\nnew InputError({ where: "a", came: "b", expected: "c" }).where',
      'const { createRequire } = require("module");\nconst ofHelper = createRequire(require.resolve("airpath/package.json"));\nofHelper("tslab") === require("tslab")',
      'ofHelper("tslab").display.html("<i>from the helper</i>")',
    ])));
    const result = await runNotebook(file);
    expect(result.failures).toEqual([]);
    expect(outputsOf(result, 0)).toMatchObject([{ text: ["a\n"] }]);
    expect(outputsOf(result, 1)).toMatchObject([{ text: ["true\n"] }]);
    expect(outputsOf(result, 2)).toMatchObject([{ data: { "text/html": ["<i>from the helper</i>"] } }]);
    const again = spawnSync(process.execPath, [airpath, "new-build", "."], { cwd: folder, encoding: "utf8" });
    expect(again).toMatchObject({ status: 1, stderr: "FileError: .: there are files in it; a new or empty folder is expected.\n" });
    const inside = spawnSync(process.execPath, [airpath, "new-build", "van"], { cwd: clone, encoding: "utf8" });
    expect(inside).toMatchObject({ status: 1 });
    expect(inside.stderr).toContain("inside the clone");
    expect(existsSync(join(clone, "van"))).toBe(false);
  });

  it.skipIf(!existsSync(join(clone, "kernel-helpers", "index.ts")))("starts with a notebook that runs", async () => {
    const result = await runNotebook(join(newBuild(), "my-van.ipynb"));
    expect(result.failures).toEqual([]);
  });
});
