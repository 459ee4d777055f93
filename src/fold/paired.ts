import { boardLoop, chamferShare, cutOf, fillerUnknowns, type FoldFrame, type FoldPattern, type FoldPlan, gapUnknown, heightOf, type Line, linedWalls, lineUnknown, liningUnknowns, type PlannedTurn, startLength, thicknessAlong, type Unknown, uprightLoop, wedgeBetween } from "./plan.js";

/**
 * Throat half and mouth half of the path side by side along a common divider, joined by a turn at its far end, and the pair laid back and forth in 1 to 4 runs.
 * A driver on the divider near the mouth reaches both halves. The pair begins below on the left: mouth run at the bottom, throat run over it.
 */
export const paired: FoldPattern = Object.freeze({ name: "paired", unknowns, plan });

function unknowns(frame: FoldFrame): readonly Unknown[] {
  const { runs: n, wanted, heightAt, divider } = frame, out: Unknown[] = [];
  // throat run k lies at k/2n of the path, mouth run k at 1 - k/2n
  const throat = (x: number): number => heightAt((wanted * x) / (2 * n)), mouth = (x: number): number => heightAt(wanted * (1 - x / (2 * n)));
  let base = 0;
  for (let k = 0; k < n; k++) {
    const mouthBelow = k % 2 === 0, below = mouthBelow ? mouth : throat, above = mouthBelow ? throat : mouth;
    // the pair comes in at k and goes on at k + 1; it runs to the right for an even k
    const [l, r] = k % 2 === 0 ? [k, k + 1] : [k + 1, k];
    out.push(lineUnknown(`common divider of run ${k + 1} on the left`, base + below(l), frame), lineUnknown(`common divider of run ${k + 1} on the right`, base + below(r), frame));
    base += below(k + 0.5) + above(k + 0.5) + divider;
    if (k + 1 < n) {
      out.push(lineUnknown(`divider between runs ${k + 1} and ${k + 2}`, base, frame));
      out.push(gapUnknown(`inner gap ${k + 1}`, (k % 2 === 0 ? throat : mouth)(k + 1), frame), gapUnknown(`outer gap ${k + 1}`, (k % 2 === 0 ? mouth : throat)(k + 1), frame));
      base += divider;
    }
  }
  out.push(gapUnknown("gap at the end of the pair", throat(n), frame));
  const start = startLength({ ...frame, wanted: wanted / 2 }, n);
  const sizes: Unknown[] = [
    { name: "length", start: Math.min(frame.length, start + (n > 1 ? mouth(1) * 0.5 : 0)), lower: 0.1 * frame.length, upper: frame.length },
    { name: "height", start: Math.min(frame.height, Math.max(0.1 * frame.height, base)), lower: 0.05 * frame.height, upper: frame.height },
  ];
  const slants = Array.from({ length: n - 1 }, (_, k): Unknown => ({ name: `slant of the divider between runs ${k + 1} and ${k + 2}`, start: 0, lower: -0.2 * frame.height, upper: 0.2 * frame.height, lining: true }));
  return [...sizes, ...out, ...liningUnknowns(frame), ...slants, ...fillerUnknowns(frame, 2 * n - 1)];
}

function plan(values: ArrayLike<number>, frame: FoldFrame): FoldPlan {
  const { runs: n, divider: t } = frame, length = values[0]!, height = values[1]!;
  const common: Line[] = [], middles: number[] = [], inner: number[] = [], outer: number[] = [];
  let place = 2;
  for (let k = 0; k < n; k++) {
    common.push({ left: values[place++]!, right: values[place++]!, over: length });
    if (k + 1 < n) {
      middles.push(values[place++]!);
      inner.push(values[place++]!);
      outer.push(values[place++]!);
    }
  }
  const tip = values[place++]!, walls = linedWalls(values, place, [length, height]), slants = place + 4;
  const between = middles.map((middle, k): Line => ({ left: middle - values[slants + k]! / 2, right: middle + values[slants + k]! / 2, over: length }));
  const isRight = (k: number): boolean => k % 2 === 0;
  const inward = (k: number, distance: number): number => (isRight(k) ? length - distance : distance);
  // where the outer face of the wall about turn k stands, and where the divider between its runs ends
  const wallAt = (k: number): number => inward(k, outer[k]!), betweenEnd = (k: number): number => inward(k, outer[k]! + t + inner[k]!);
  const tipAt = inward(n - 1, tip);
  const base = (k: number) => (x: number): number => (k === 0 ? walls.floor(x) : heightOf(between[k - 1]!, x) + thicknessAlong(between[k - 1]!, t));
  const top = (k: number) => (x: number): number => (k === n - 1 ? walls.ceiling(x) : heightOf(between[k]!, x));
  const face = (k: number) => (x: number): number => heightOf(common[k]!, x), back = (k: number) => (x: number): number => heightOf(common[k]!, x) + thicknessAlong(common[k]!, t);
  const below = (k: number): [(x: number) => number, (x: number) => number] => [base(k), face(k)];
  const above = (k: number): [(x: number) => number, (x: number) => number] => [back(k), top(k)];
  const channel = (k: number, half: "throat" | "mouth"): [(x: number) => number, (x: number) => number] => ((half === "mouth") === (k % 2 === 0) ? below(k) : above(k));
  // the half next to the divider between the runs turns inside: throat after an even run, mouth after an odd one
  const isInner = (k: number, half: "throat" | "mouth"): boolean => (half === "throat") === (k % 2 === 0);
  const endAt = (k: number, half: "throat" | "mouth"): number => (k === n - 1 ? tipAt : isInner(k, half) ? betweenEnd(k) : wallAt(k));
  const startAt = (k: number, half: "throat" | "mouth"): number => (k === 0 ? 0 : isInner(k - 1, half) ? betweenEnd(k - 1) : wallAt(k - 1));
  let filled = slants + n - 1;
  const share = (): number => (frame.corner === "filler" ? values[filled++]! : chamferShare);
  const turn = (k: number, half: "throat" | "mouth"): PlannedTurn => {
    const x = endAt(k, half), innerTurn = isInner(k, half), [low, high] = channel(k, half), [nextLow, nextHigh] = channel(k + 1, half);
    const own = high(x) - low(x), next = nextHigh(x) - nextLow(x);
    const drawing = { before: half === "throat" ? own : next, after: half === "throat" ? next : own, gap: innerTurn ? inner[k]! : outer[k]!, divider: nextLow(x) - high(x) };
    const far = innerTurn ? inward(k, outer[k]! + t) : isRight(k) ? length : 0;
    return { drawing: { ...drawing, ...cutOf(frame.corner, share(), drawing) }, far, towards: isRight(k) ? 1 : -1, edges: [low, nextHigh] };
  };
  const tipTurn = (): PlannedTurn => {
    const k = n - 1, [tl, th] = channel(k, "throat"), [ml, mh] = channel(k, "mouth"), x = tipAt, end = isRight(k) ? length : 0;
    const drawing = { before: th(x) - tl(x), after: mh(x) - ml(x), gap: tip, divider: thicknessAlong(common[k]!, t) };
    return { drawing: { ...drawing, ...cutOf(frame.corner, share(), drawing) }, far: end, towards: isRight(k) ? 1 : -1, edges: [base(k), top(k)] };
  };
  const order = Array.from({ length: n }, (_, k) => k), back0 = [...order].reverse();
  const turns = [...order.slice(0, -1).map((k) => turn(k, "throat")), tipTurn(), ...back0.slice(1).map((k) => turn(k, "mouth"))];
  const runs = [
    ...order.map((k) => wedgeBetween(...channel(k, "throat"), startAt(k, "throat"), endAt(k, "throat"))),
    ...back0.map((k) => wedgeBetween(...channel(k, "mouth"), endAt(k, "mouth"), startAt(k, "mouth"))),
  ];
  const wood = [
    ...walls.wood,
    ...order.map((k) => boardLoop(common[k]!, t, k === 0 ? 0 : wallAt(k - 1), k === n - 1 ? tipAt : wallAt(k))),
    ...order.slice(0, -1).flatMap((k) => {
      const x = wallAt(k), towardsInside = isRight(k) ? x - t : x + t;
      const attached = isRight(k) ? 0 : length;
      return [boardLoop(between[k]!, t, attached, betweenEnd(k)), uprightLoop(x, towardsInside, face(k), back(k + 1))];
    }),
  ];
  return {
    size: [length, height],
    runs,
    turns,
    wood,
    mouth: { side: "left", low: walls.floor(0), high: face(0)(0) },
    board: { from: [0, (face(0)(0) + back(0)(0)) / 2], to: [n === 1 ? tipAt : betweenEnd(0), (face(0)(n === 1 ? tipAt : betweenEnd(0)) + back(0)(n === 1 ? tipAt : betweenEnd(0))) / 2], front: 0, back: 2 * n - 1 },
  };
}
