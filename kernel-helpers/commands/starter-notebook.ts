import type { Notebook, NotebookCell } from "./notebook-file.js";
import { kernelName, kernelTitle } from "./kernel.js";

const texts: readonly (readonly ["markdown" | "code", string])[] = [
  ["markdown", `# A closed box

The values below are invented. Put those of your driver in their place and run all cells.`],
  ["code", `import * as air from "airpath";
air.begin();`],
  ["markdown", `## The driver`],
  ["code", `const woofer = air.driver({
  name: "my driver", Re: "3.4 ohm", fs: "38 Hz", Qms: 4.1, Qes: 0.48, Vas: "28 L", Sd: "220 cm^2",
  Xmax: "7 mm", Le: "0.8 mH", power: "150 W", impedance: "4 ohm",
});
await air.show(woofer);`],
  ["markdown", `## The box, and how it plays

The level is that at one metre in front of the box with one wall behind it.`],
  ["code", `const box = air.closedBox({ name: "my box", driver: woofer, volume: "25 L" });
const yard = air.predict(box, { drive: "2.83 V", space: "half", distance: "1 m" });
await air.show(box, yard);`],
];

/** Notebook of a new build: a closed box with an invented driver. */
export function starterNotebook(name: string): Notebook {
  const cells = texts.map(([kind, source], index): NotebookCell => {
    const common = { id: `${name}-${index + 1}`.slice(-64), metadata: {}, source: source.match(/[^\n]*\n|[^\n]+/g) ?? [] };
    return kind === "markdown"
      ? { cell_type: kind, ...common }
      : { cell_type: kind, execution_count: null, outputs: [], ...common };
  });
  return {
    cells,
    metadata: {
      kernelspec: { display_name: kernelTitle, language: "typescript", name: kernelName },
      language_info: { file_extension: ".ts", mimetype: "text/typescript", name: "typescript" },
    },
    nbformat: 4,
    nbformat_minor: 5,
  };
}
