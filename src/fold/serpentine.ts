import { boardLoop, chamferShare, cutOf, fillerUnknowns, type FoldFrame, type FoldPattern, type FoldPlan, gapUnknown, heightOf, type Line, linedWalls, lineUnknown, liningUnknowns, type PlannedTurn, startLength, thicknessAlong, type Unknown, wedgeBetween } from "./plan.js";

/** One channel back and forth, from the bottom up: its closed end below on the left. */
export const serpentine: FoldPattern = Object.freeze({ name: "serpentine", unknowns, plan });

function unknowns(frame: FoldFrame): readonly Unknown[] {
  const { runs, wanted, heightAt, divider } = frame, out: Unknown[] = [];
  let y = 0;
  for (let k = 0; k < runs; k++) {
    const ends = [heightAt((wanted * k) / runs), heightAt((wanted * (k + 1)) / runs)];
    y += (ends[0]! + ends[1]!) / 2 + divider;
    if (k + 1 < runs) {
      const middle = y - divider, slope = k % 2 === 0 ? (ends[1]! - ends[0]!) / 2 : (ends[0]! - ends[1]!) / 2;
      out.push(lineUnknown(`divider ${k + 1} on the left`, middle - slope, frame), lineUnknown(`divider ${k + 1} on the right`, middle + slope, frame));
      out.push(gapUnknown(`gap ${k + 1}`, heightAt((wanted * (k + 1)) / runs), frame));
    }
  }
  const sizes: Unknown[] = [
    { name: "length", start: startLength(frame, runs), lower: 0.1 * frame.length, upper: frame.length },
    { name: "height", start: Math.min(frame.height, Math.max(0.1 * frame.height, y - divider)), lower: 0.05 * frame.height, upper: frame.height },
  ];
  return [...sizes, ...out, ...liningUnknowns(frame), ...fillerUnknowns(frame, runs - 1)];
}

function plan(values: ArrayLike<number>, frame: FoldFrame): FoldPlan {
  const { runs, divider } = frame, length = values[0]!, height = values[1]!;
  const lines: Line[] = [], gaps: number[] = [];
  for (let k = 0; k + 1 < runs; k++) {
    lines.push({ left: values[2 + 3 * k]!, right: values[3 + 3 * k]!, over: length });
    gaps.push(values[4 + 3 * k]!);
  }
  const linings = 2 + 3 * (runs - 1), walls = linedWalls(values, linings, [length, height]);
  const lower = (k: number) => (x: number): number => (k === 0 ? walls.floor(x) : heightOf(lines[k - 1]!, x) + thicknessAlong(lines[k - 1]!, divider));
  const upper = (k: number) => (x: number): number => (k === runs - 1 ? walls.ceiling(x) : heightOf(lines[k]!, x));
  // turn k, after run k, lies on the right for an even k
  const end = (k: number): number => (k % 2 === 0 ? length - gaps[k]! : gaps[k]!);
  const turns = lines.map((line, k): PlannedTurn => {
    const x = end(k), right = k % 2 === 0;
    const drawing = { before: upper(k)(x) - lower(k)(x), after: upper(k + 1)(x) - lower(k + 1)(x), gap: gaps[k]!, divider: thicknessAlong(line, divider) };
    const share = frame.corner === "filler" ? values[linings + 4 + k]! : chamferShare;
    const far = right ? length : 0;
    return { drawing: { ...drawing, ...cutOf(frame.corner, share, drawing) }, far, towards: right ? 1 : -1, edges: [lower(k), upper(k + 1)] };
  });
  const wedges = Array.from({ length: runs }, (_, k) => wedgeBetween(lower(k), upper(k), k === 0 ? 0 : end(k - 1), k === runs - 1 ? (k % 2 === 0 ? length : 0) : end(k)));
  const last = runs - 1, out = last % 2 === 0 ? length : 0;
  const board = runs === 2 ? { from: [0, lines[0]!.left + divider / 2] as const, to: [end(0), heightOf(lines[0]!, end(0)) + divider / 2] as const, front: 0, back: 1 } : undefined;
  return {
    size: [length, height],
    runs: wedges,
    turns,
    wood: [...walls.wood, ...lines.map((line, k) => boardLoop(line, divider, k % 2 === 0 ? 0 : length, end(k)))],
    mouth: { side: last % 2 === 0 ? "right" : "left", low: lower(last)(out), high: upper(last)(out) },
    ...(board === undefined ? {} : { board }),
  };
}
