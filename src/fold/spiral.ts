import type { Loop } from "../geometry/shape.js";
import { boardLoop, chamferShare, cutOf, fillerUnknowns, type FoldFrame, type FoldPattern, type FoldPlan, gapUnknown, heightOf, type Line, linedWalls, lineUnknown, liningUnknowns, type PlannedTurn, startLength, thicknessAlong, type Unknown, uprightLoop, wedgeBetween } from "./plan.js";

/**
 * One channel wound inwards: mouth run at the bottom, up on the right, along the top, down on the left, and so on round what is inside; its closed end in the middle.
 * With three runs the throat run lies over the mouth run, and a driver on the board between them reaches both ends.
 */
export const spiral: FoldPattern = Object.freeze({ name: "spiral", unknowns, plan });

// runs are counted from the mouth, 0 to n - 1; even ones lie at the bottom, odd ones at the top, later ones inside

function unknowns(frame: FoldFrame): readonly Unknown[] {
  const { runs: n, wanted, heightAt, divider } = frame, out: Unknown[] = [];
  const middle = (j: number): number => heightAt(wanted * (1 - (j + 0.5) / n)), at = (j: number): number => heightAt(wanted * (1 - j / n));
  let sum = 0;
  for (let j = 0; j < n; j++) sum += middle(j) + divider;
  const height = Math.min(frame.height, Math.max(0.1 * frame.height, sum - divider));
  let low = 0, high = height;
  for (let j = 0; j + 1 < n; j++) {
    // run j goes to the right for an even j: greater at the left end
    const half = ((j % 2 === 0 ? 1 : -1) * (at(j) - at(j + 1))) / 2;
    if (j % 2 === 0) {
      low += middle(j);
      out.push(lineUnknown(`divider ${j + 1} on the left`, low + half, frame), lineUnknown(`divider ${j + 1} on the right`, low - half, frame));
      low += divider;
    } else {
      high -= middle(j) + divider;
      out.push(lineUnknown(`divider ${j + 1} on the left`, high - half, frame), lineUnknown(`divider ${j + 1} on the right`, high + half, frame));
    }
    out.push(gapUnknown(`gap ${j + 1}`, at(j + 1), frame));
  }
  const sizes: Unknown[] = [
    { name: "length", start: startLength(frame, n), lower: 0.1 * frame.length, upper: frame.length },
    { name: "height", start: height, lower: 0.05 * frame.height, upper: frame.height },
  ];
  return [...sizes, ...out, ...liningUnknowns(frame), ...fillerUnknowns(frame, n - 1)];
}

function plan(values: ArrayLike<number>, frame: FoldFrame): FoldPlan {
  const { runs: n, divider: t } = frame, length = values[0]!, height = values[1]!;
  const lines: Line[] = [], gaps: number[] = [];
  for (let j = 0; j + 1 < n; j++) {
    lines.push({ left: values[2 + 3 * j]!, right: values[3 + 3 * j]!, over: length });
    gaps.push(values[4 + 3 * j]!);
  }
  const face = (j: number) => (x: number): number => heightOf(lines[j]!, x), back = (j: number) => (x: number): number => heightOf(lines[j]!, x) + thicknessAlong(lines[j]!, t);
  const last = n - 1, linings = 2 + 3 * last, walls = linedWalls(values, linings, [length, height]);
  const channel = (j: number): [(x: number) => number, (x: number) => number] => {
    const outside = j < 2 ? (j === 0 ? walls.floor : walls.ceiling) : j % 2 === 0 ? back(j - 2) : face(j - 2);
    // the last run lies against the divider of the run before it
    const inside = j === last ? (n === 1 ? walls.ceiling : j % 2 === 0 ? face(j - 1) : back(j - 1)) : j % 2 === 0 ? face(j) : back(j);
    return j % 2 === 0 ? [outside, inside] : [inside, outside];
  };
  // turn j lies between runs j and j + 1, on the right for an even j; it stands off the wall of turn j - 2
  const farOf = (j: number): number => (j < 2 ? (j % 2 === 0 ? length : 0) : endOf(j - 2) + (j % 2 === 0 ? -t : t));
  const endOf = (j: number): number => farOf(j) + (j % 2 === 0 ? -gaps[j]! : gaps[j]!);
  const closed = n === 1 ? length : n === 2 ? 0 : endOf(last - 2) + ((last - 2) % 2 === 0 ? -t : t);
  const turns: PlannedTurn[] = [];
  const wood: Loop[] = [...walls.wood];
  for (let j = 0; j < last; j++) {
    const x = endOf(j), far = farOf(j), [low, high] = channel(j), [otherLow, otherHigh] = channel(j + 1), own = high(x) - low(x), other = otherHigh(x) - otherLow(x);
    // along the path the inner run comes first
    const drawing = { before: other, after: own, gap: gaps[j]!, divider: j % 2 === 0 ? otherLow(x) - high(x) : low(x) - otherHigh(x) };
    const share = frame.corner === "filler" ? values[linings + 4 + j]! : chamferShare;
    const lowest = j % 2 === 0 ? low : otherLow, highest = j % 2 === 0 ? otherHigh : high;
    turns.push({ drawing: { ...drawing, ...cutOf(frame.corner, share, drawing) }, far, towards: j % 2 === 0 ? 1 : -1, edges: [lowest, highest] });
    wood.push(boardLoop(lines[j]!, t, j === 0 ? 0 : endOf(j - 1), x));
    if (j < last - 1) {
      const inner = x + (j % 2 === 0 ? -t : t), a = j % 2 === 0 ? j : j + 1, b = j % 2 === 0 ? j + 1 : j;
      wood.push(uprightLoop(x, inner, face(a), back(b)));
    }
  }
  const runs = Array.from({ length: n }, (_, i) => {
    const j = last - i, [low, high] = channel(j);
    return wedgeBetween(low, high, j === last ? closed : endOf(j), j === 0 ? 0 : endOf(j - 1));
  });
  const boardEnd = n === 2 ? endOf(0) : n === 3 ? closed : 0;
  return {
    size: [length, height],
    runs,
    turns: turns.reverse(),
    wood,
    mouth: { side: "left", low: channel(0)[0](0), high: channel(0)[1](0) },
    ...(n === 2 || n === 3 ? { board: { from: [0, (face(0)(0) + back(0)(0)) / 2] as const, to: [boardEnd, (face(0)(boardEnd) + back(0)(boardEnd)) / 2] as const, front: 0, back: last } } : {}),
  };
}
