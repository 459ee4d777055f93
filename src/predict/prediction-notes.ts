import { widthAcross } from "../acoustics/cross-section.js";
import { fillNotes } from "../acoustics/fill-notes.js";
import { turnNotes } from "../acoustics/path-turns.js";
import { airNotes } from "../air/air-notes.js";
import type { Design } from "../enclosure/design.js";
import { isSlit } from "./duct-runs.js";
import { nearNotes } from "./near-notes.js";
import { type Note, remark, warning } from "../notes.js";
import type { Prediction } from "./predict.js";

/** What a prediction must say of itself: excursion beyond Xmax, fast air, the end of one-dimensional theory, polarity. */
export function predictionNotes(p: Omit<Prediction, "notes">, phase: { readonly inverted: boolean; readonly followed: boolean }): Note[] {
  const notes: Note[] = [];
  const where = p.design.name;
  const f = p.frequencies;
  for (const { name, Xmax, excursionPeak } of p.cones) {
    if (Xmax === undefined) continue;
    const spans = spansAbove(f, excursionPeak, Xmax);
    if (spans !== "") {
      const worst = largest(excursionPeak), cone = p.cones.length === 1 ? "the cone" : `the cone of ${name}`;
      notes.push(
        warning(
          where,
          `${cone} would move beyond Xmax (${millimetres(Xmax)} peak) at ${spans}, up to ${millimetres(excursionPeak[worst]!)} at ${hertz(f[worst]!)}; the linear model does not hold there`,
          { about: "excursion" },
        ),
      );
    }
  }
  for (const opening of p.openings) {
    // 17 m/s peak, about 5 % of the speed of sound: common practice, no source
    if (opening.airSpeedPeak === undefined || opening.isFace) continue;
    const spans = spansAbove(f, opening.airSpeedPeak, 17);
    if (spans !== "") {
      const worst = largest(opening.airSpeedPeak);
      notes.push(warning(where, `air at the ${opening.name} is faster than 17 m/s peak (common practice for audible noise) at ${spans}, up to ${opening.airSpeedPeak[worst]!.toFixed(0)} m/s`, { about: "airSpeed" }));
    }
  }
  const silent = p.level.findIndex((level) => level === -Infinity);
  if (silent >= 0) {
    const several = p.openings.length > 1, elsewhere = p.level.filter((level) => level === -Infinity).length > 1 ? " and elsewhere" : "";
    notes.push(warning(where, `no sound at all reaches the listener at ${hertz(f[silent]!)}${elsewhere}: ${several ? "the openings cancel to rounding, " : ""}the level is minus infinity there, and there is neither phase nor group delay`));
  }
  notes.push(...nearNotes(p), ...airNotes(p.air, where));
  const path = p.design.path;
  notes.push(...fillNotes(p.design.network, f, p.air));
  if (path !== undefined) notes.push(...turnNotes(path, f, { soundSpeed: p.air.soundSpeed, where }));
  const { width, what } = widestPart(p.design);
  const end = p.air.soundSpeed / (2 * width);
  if (f[f.length - 1]! > end) notes.push(remark(where, `one-dimensional theory ends near ${hertz(end)}, where half a wavelength fits across the widest part of ${what} (${(width * 1e3).toFixed(0)} mm)`));
  if (phase.inverted) notes.push(remark(where, "at the lowest frequencies the sound pressure has the opposite sign of the voltage; the phase is counted from there", { about: "phase" }));
  if (!phase.followed) notes.push(warning(where, "the phase turns faster than it could be followed: whole turns may be missing; level and group delay are not touched", { about: "phase" }));
  return notes;
}

/** Widest part of all ducts of a design, m across: of its path, or of another duct that is wider. A slit that leaks carries no waves across. */
function widestPart({ path, network }: Design): { readonly width: number; readonly what: string } {
  let width = 0, what = "the path";
  if (path !== undefined) for (const s of path.stations) width = Math.max(width, widthAcross(path.crossSection, s.area));
  const ofPath = width * (1 + 1e-9);
  for (const e of network.elements) {
    if (e.kind !== "duct" || isSlit(e)) continue;
    for (const s of e.sections) {
      if (s.length === 0) continue;
      // without walls the form is not told: that of the path, or round
      const shape = s.walls ?? path?.crossSection ?? { kind: "round" as const };
      const across = s.flare === "turn" ? widthAcross(shape, s.area) : Math.max(widthAcross(shape, s.areaStart), widthAcross(shape, s.areaEnd));
      if (across > Math.max(width, ofPath)) [width, what] = [across, `"${e.name}"`];
    }
  }
  return { width, what };
}

/** "20 Hz to 31 Hz, 55 Hz to 58 Hz" where the values exceed the limit, empty where they do not. */
function spansAbove(f: Float64Array, values: Float64Array, limit: number): string {
  const spans: string[] = [];
  let start = -1;
  for (let i = 0; i <= f.length; i++) {
    const above = i < f.length && values[i]! > limit;
    if (above && start < 0) start = i;
    if (!above && start >= 0) {
      spans.push(start === i - 1 ? hertz(f[start]!) : `${hertz(f[start]!)} to ${hertz(f[i - 1]!)}`);
      start = -1;
    }
  }
  return spans.length > 4 ? `${spans.slice(0, 3).join(", ")} and ${spans.length - 3} more ranges` : spans.join(", ");
}

function largest(values: Float64Array): number {
  let at = 0;
  for (let i = 1; i < values.length; i++) if (values[i]! > values[at]!) at = i;
  return at;
}

/** A length (m) to a tenth of a millimetre, or in micrometres where that says nothing. */
function millimetres(length: number): string {
  return length < 5e-4 ? `${Number((length * 1e6).toPrecision(2))} um` : `${(length * 1e3).toFixed(1)} mm`;
}

function hertz(f: number): string {
  return `${Number(f.toPrecision(3))} Hz`;
}
