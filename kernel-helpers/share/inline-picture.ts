import { readFileSync, realpathSync } from "node:fs";
import { extname, resolve } from "node:path";
import { isInside } from "../commands/clone.js";

/** Mime types of the pictures that are put into a page, by ending. */
const pictureTypes: Readonly<Record<string, string>> = {
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".jpg": "image/jpeg",
  ".jpeg": "image/jpeg",
};

/** Where pictures of a notebook may come from. */
export interface PicturePlaces {
  /** folder of the notebook, absolute: relative addresses start here */
  readonly folder: string;
  /** folders whose pictures may be put into a page, absolute; links are followed before this is checked */
  readonly allowed: readonly string[];
}

/**
 * A picture file as a data address, so that the page needs no other file; undefined when the address is not a
 * relative path to an svg, png or jpg file within the allowed folders, or the file is not there.
 */
export function pictureAddress(source: string, places: PicturePlaces): string | undefined {
  if (/^[a-z][a-z0-9+.-]*:|^[\\/]/i.test(source)) return undefined;
  try {
    const path = decodeURIComponent(source.replace(/[?#].*$/, ""));
    const type = pictureTypes[extname(path).toLowerCase()];
    const file = realpathSync(resolve(places.folder, path));
    const isAllowed = places.allowed.some((folder) => isInside(file, realpathSync(folder)));
    return type && isAllowed ? `data:${type};base64,${readFileSync(file).toString("base64")}` : undefined;
  } catch {
    return undefined;
  }
}
