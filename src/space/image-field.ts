import type { Air } from "../air/air.js";
import { sphereFactor } from "./opening-sphere.js";
import type { FarField, Pair } from "./pairs.js";
import { between, type Point } from "./places.js";

/**
 * Sound of point sources and their images: the sum of e^{-jkd}/(4 pi d), 1/m, over all images that are not near.
 *
 * @param pairs   with the distances of their near images
 * @param images  all images of a place, itself first
 * @param air     sound speed
 * @param mean    over the "spheres" at both ends, or as on the "axis" of the openings
 *
 * Source: images, Rayleigh, Theory of Sound, section 278; Waterhouse, J. Acoust. Soc. Am. 27 (1955) 247; Allison, J. Audio Eng. Soc. 22 (1974) 314.
 */
export function imageField(pairs: readonly Pair[], images: (point: Point) => readonly Point[], { air, mean }: { readonly air: Air; readonly mean: "spheres" | "axis" }): FarField {
  const far = pairs.map(({ from, to, near }) => {
    const all = Float64Array.from(images(to), (image) => between(image, from)).sort();
    return all.subarray(near.length); // the near ones are the nearest
  });
  const a = new Float64Array(2), b = new Float64Array(2);
  return {
    evaluate(frequency, re, im, wave) {
      const k = (2 * Math.PI * frequency) / air.soundSpeed;
      wave.re = k;
      wave.im = 0;
      for (let q = 0; q < far.length; q++) {
        let r = 0, x = 0;
        for (const d of far[q]!) {
          const size = 1 / (4 * Math.PI * d);
          r += size * Math.cos(k * d);
          x -= size * Math.sin(k * d);
        }
        let factor = 1;
        if (mean === "spheres") {
          sphereFactor(wave, pairs[q]!.fromRadius, a);
          sphereFactor(wave, pairs[q]!.toRadius, b);
          factor = a[0]! * b[0]!;
        }
        re[q] = factor * r;
        im[q] = factor * x;
      }
    },
  };
}
