import { InputError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";

/** How an edge came out, from best to worst. */
export type Finish = "clean" | "brown" | "charred";

/** One test cut. */
export interface TestCut {
  /** of the tool, m/s */
  readonly speed: number;
  /** no unit */
  readonly passes: number;
  /** share of the machine's full power, above 0 to 1, no unit */
  readonly power: number;
  /** air blown into the cut */
  readonly assist: "on" | "off";
  /** true where the piece fell out by itself everywhere */
  readonly through: boolean;
  readonly finish: Finish;
}

/** The setting to use. */
export interface CutSetting {
  /** m/s */
  readonly speed: number;
  /** no unit */
  readonly passes: number;
  /** share of the machine's full power, no unit */
  readonly power: number;
  readonly assist: "on" | "off";
  /** how much faster the fastest test is that still cut through, at the same power, passes and assist, as a share: no unit */
  readonly margin: number;
  /** fastest speed at which it cut through, m/s */
  readonly fastestThrough: number;
  /** slowest speed at which it did not, m/s; Infinity where none was tried */
  readonly slowestNotThrough: number;
  /** true where just this setting was tried, false where it lies between two that were */
  readonly isTested: boolean;
  /** passes over speed, in s, for a line of 1 m */
  readonly timePerLength: number;
  readonly notes: readonly Note[];
}

const finishes: readonly Finish[] = ["clean", "brown", "charred"];

/**
 * The quickest setting that cuts through with a margin of speed, m/s: of the tests with the same power, passes and assist the fastest that cut through, slowed down by the margin.
 * Sheets differ from place to place, lenses grow dirty: a setting at its limit leaves pieces hanging. A margin of 25 % is common practice, no source.
 *
 * @param options  margin: share, no unit; finish: worst that will do
 * @throws InputError  when a value is wrong, or no setting cut through with that finish
 */
export function settingFromTests(tests: readonly TestCut[], { margin, finish }: { readonly margin: number; readonly finish: Finish }, where: string = "testCuts"): CutSetting {
  tests.forEach(({ speed, passes, power }, i) => {
    if (!(speed > 0) || !Number.isFinite(speed)) throw new InputError({ where: `${where}[${i}].speed`, came: `${speed} m/s`, expected: "a speed above zero is expected" });
    if (!Number.isInteger(passes) || passes < 1) throw new InputError({ where: `${where}[${i}].passes`, came: `${passes}`, expected: "a whole number of at least 1 is expected" });
    if (!(power > 0 && power <= 1)) throw new InputError({ where: `${where}[${i}].power`, came: `${power}`, expected: "a share above 0 and at most 1 is expected, such as 0.8 or \"80 %\"" });
  });
  if (!(margin >= 0 && margin < 10)) throw new InputError({ where: `${where}.margin`, came: `${margin}`, expected: "a share from 0 on is expected, such as 0.25 or \"25 %\"" });
  const settings = groupsOf(tests).flatMap((group) => settingOf(group, { margin, finish }, where));
  const best = settings.sort((a, b) => a.timePerLength - b.timePerLength || a.passes - b.passes || a.power - b.power || (a.assist === "on" ? -1 : 1))[0];
  if (best !== undefined) return best;
  const through = tests.filter((test) => test.through).length;
  const hint = through === 0 ? "test slower, with more passes or with more power" : `test with assist or with more passes at higher speed, or let finish be "${finishes[Math.min(2, finishes.indexOf(finish) + 1)]!}"`;
  throw new InputError({ where, came: `${tests.length} tests, ${through} of them through, none with a "${finish}" edge or better`, expected: "at least one such test is expected", hint });
}

function groupsOf(tests: readonly TestCut[]): readonly (readonly TestCut[])[] {
  const groups = new Map<string, TestCut[]>();
  for (const test of tests) {
    const key = `${test.power} ${test.passes} ${test.assist}`;
    groups.set(key, [...(groups.get(key) ?? []), test]);
  }
  return [...groups.values()].map((group) => group.sort((a, b) => a.speed - b.speed));
}

function settingOf(group: readonly TestCut[], { margin, finish }: { readonly margin: number; readonly finish: Finish }, where: string): readonly CutSetting[] {
  const { power, passes, assist } = group[0]!, fails = group.filter(({ through }) => !through), slowestNotThrough = fails[0]?.speed ?? Infinity;
  // a test that did not cut through counts against all that are as fast or faster
  const through = group.filter((test) => test.through && test.speed < slowestNotThrough), good = through.filter((test) => finishes.indexOf(test.finish) <= finishes.indexOf(finish));
  const fastest = through[through.length - 1], slowestGood = good[0];
  if (fastest === undefined || slowestGood === undefined) return [];
  const wanted = fastest.speed / (1 + margin), tested = good.filter(({ speed }) => speed <= wanted * (1 + 1e-9)).pop(), notes: Note[] = [];
  if (group.some((test) => test.through && test.speed >= slowestNotThrough)) notes.push(warning(where, `it cut through at a speed as high as one at which it did not (${perMinute(slowestNotThrough)}): the sheet, the focus or the lens is not the same everywhere; the faster tests are left out`));
  // slower than asked for is known to do; faster than the slowest good test, slowed down less than asked, is a smaller margin
  const speed = tested && tested.speed > 0.9 * wanted ? tested.speed : Math.max(wanted, slowestGood.speed), isTested = good.some((test) => test.speed === speed);
  if (!isTested) notes.push(remark(where, `${perMinute(speed)} itself was not tested: it lies between tests; cut one small piece with it first`));
  const own = fastest.speed / speed - 1;
  if (own < margin - 1e-9) notes.push(warning(where, `the margin is ${(100 * own).toFixed(0)} % instead of ${(100 * margin).toFixed(0)} %: no slower test had a good edge; test at ${perMinute(wanted)}`));
  if (slowestNotThrough === Infinity) notes.push(remark(where, "every test of this power, passes and assist cut through: the true margin is larger, or a faster setting would do"));
  return [Object.freeze({ speed, passes, power, assist, margin: own, fastestThrough: fastest.speed, slowestNotThrough, isTested, timePerLength: passes / speed, notes: Object.freeze(notes) })];
}

/** "300 mm/min". */
function perMinute(speed: number): string {
  return `${Number((60_000 * speed).toPrecision(4))} mm/min`;
}
