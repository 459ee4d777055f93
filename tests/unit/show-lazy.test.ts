import { createRequire } from "node:module";
import { expect, test } from "vitest";

import { setSink } from "../../kernel-helpers/show/display.js";
import { show } from "../../kernel-helpers/show/show.js";
import { pathFigure } from "../pictures/sample-figures.js";

const loaded = (name: string): boolean => Object.keys(createRequire(__filename).cache).some((file) => file.replaceAll("\\", "/").includes(`/node_modules/${name}/`));

test("the document model is loaded at the first picture, not before", async () => {
  setSink(() => undefined);
  await show({ kind: "table", title: "t", columns: ["a"], rows: [["1"]] });
  expect(loaded("jsdom")).toBe(false);
  await show(pathFigure);
  expect(loaded("jsdom")).toBe(true);
  setSink(undefined);
});
