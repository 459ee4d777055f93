/**
 * Fewer points of a line that look the same, for drawing only: x and y in their own units.
 *
 * A line of up to `limit` points is kept whole. Of a longer one, each of `limit / 4` equal strips of the
 * visible width keeps its first, lowest, highest and last point, so that no peak and no notch is lost; a gap
 * (a value that is not finite) is kept as one point per strip.
 *
 * @param x        ascending, n values
 * @param y        n values
 * @param options  how the horizontal axis is divided, and the count of points kept at most, about
 */
export function thinLine(x: Float64Array, y: Float64Array, options: { readonly scale: "log" | "linear"; readonly limit: number }): { x: Float64Array; y: Float64Array } {
  const { scale, limit } = options;
  const count = Math.min(x.length, y.length);
  if (count <= limit) return { x: x.subarray(0, count), y: y.subarray(0, count) };
  const place = (i: number): number => (scale === "log" ? Math.log(Math.max(x[i]!, 1e-300)) : x[i]!);
  let first = 0;
  while (scale === "log" && first < count - 1 && !(x[first]! > 0)) first++;
  const start = place(first);
  const strips = Math.max(1, Math.floor(limit / 4));
  const width = (place(count - 1) - start) / strips || 1;
  const kept: number[] = [];
  for (let i = first; i < count; ) {
    const strip = Math.floor((place(i) - start) / width);
    let low = i;
    let high = i;
    let gap = -1;
    let end = i;
    for (; end < count && (Math.floor((place(end) - start) / width) === strip || end === i); end++) {
      if (!Number.isFinite(y[end]!)) gap = end;
      if (y[end]! < y[low]! || !Number.isFinite(y[low]!)) low = end;
      if (y[end]! > y[high]! || !Number.isFinite(y[high]!)) high = end;
    }
    for (const index of [i, low, high, gap, end - 1].filter((index) => index >= 0).sort((a, b) => a - b)) {
      if (index !== kept[kept.length - 1]) kept.push(index);
    }
    i = end;
  }
  return { x: Float64Array.from(kept, (i) => x[i]!), y: Float64Array.from(kept, (i) => y[i]!) };
}
