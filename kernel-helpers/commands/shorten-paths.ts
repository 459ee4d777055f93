import { pathToFileURL } from "node:url";

function escaped(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&");
}

/**
 * A function that takes absolute paths out of a text: a path below one of the folders becomes relative to it, the
 * folder itself becomes its short name. Longer folders go first; a folder that is the root of the disk is left alone.
 *
 * @param folders  absolute folder and the short name it gets ("" = paths below it become plain relative paths)
 */
export function pathShortener(folders: readonly (readonly [folder: string, short: string])[]): (text: string) => string {
  const spellings = folders.flatMap(([folder, short]) => {
    const bare = folder.replace(/[\\/]+$/, "");
    const all = [pathToFileURL(bare).href, bare, bare.split("\\").join("/"), bare.split("\\").join("\\\\")];
    return bare.length < 2 ? [] : [...new Set(all)].map((spelling) => ({ spelling, short }));
  });
  spellings.sort((a, b) => b.spelling.length - a.spelling.length || (a.spelling < b.spelling ? -1 : 1));
  const rules = spellings.map(({ spelling, short }) => ({
    spelling,
    below: new RegExp(`(?<![\\w.-])${escaped(spelling)}[\\\\/]+`, "g"),
    itself: new RegExp(`(?<![\\w.-])${escaped(spelling)}(?![\\w-]|\\.\\w)`, "g"),
    prefix: short === "" ? "" : `${short}/`,
    name: short === "" ? "." : short,
  }));
  return (text) => {
    let result = text;
    for (const { spelling, below, itself, prefix, name } of rules) {
      if (result.includes(spelling)) result = result.replace(below, prefix).replace(itself, name);
    }
    return result;
  };
}
