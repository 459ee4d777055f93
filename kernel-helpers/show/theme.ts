import type { TraceRole } from "./view.js";

/** Letters of figures, tables and notes: whatever sans-serif the reader's system has. */
export const fontFamily: string = "Helvetica, Arial, 'Liberation Sans', sans-serif";

/** Font sizes in px. */
export const fontSize: Readonly<Record<"title" | "subtitle" | "text" | "span", number>> = { title: 16, subtitle: 12.5, text: 12, span: 11 };

/** Colours by purpose; text colours reach a contrast of 4.5:1, line colours 3:1 against the paper. */
export interface Colours {
  readonly paper: string;
  /** titles, zero lines, residuals, limits */
  readonly ink: string;
  /** tick labels, axis titles, subtitle */
  readonly text: string;
  readonly faint: string;
  readonly grid: string;
  readonly minorGrid: string;
  /** shading of a span, half transparent */
  readonly span: string;
  readonly blue: string;
  readonly vermilion: string;
  readonly green: string;
  readonly purple: string;
  readonly orange: string;
}

/**
 * Colours for white paper. The five hues are those of Okabe and Ito, "Color Universal Design", 2002
 * (revised 2008), chosen to stay apart for colour-blind readers; purple and orange are darkened
 * until a thin line reaches 3:1 on white.
 */
export const light: Colours = {
  paper: "#ffffff", ink: "#1d2126", text: "#4a5058", faint: "#8b929b", grid: "#d5d9de", minorGrid: "#eceef1",
  span: "rgba(70,90,120,0.09)",
  blue: "#0072b2", vermilion: "#d55e00", green: "#00946c", purple: "#b1558f", orange: "#a87400",
};

/** The same for dark paper (#111 or near); the hues are the light ones of the same source. */
export const dark: Colours = {
  paper: "#16181b", ink: "#eef0f2", text: "#b9bfc7", faint: "#7d848d", grid: "#3a3f46", minorGrid: "#272b30",
  span: "rgba(150,175,215,0.13)",
  blue: "#56b4e9", vermilion: "#f27a2a", green: "#1fbf92", purple: "#d98cb8", orange: "#e6a117",
};

/** The colour of the shading that belongs to a line: a fifth of it lets lines and grid through. */
export function fillOf(color: string, share: number = 0.2): string {
  const [red, green, blue] = [1, 3, 5].map((at) => Number.parseInt(color.slice(at, at + 2), 16));
  return `rgba(${red},${green},${blue},${share})`;
}

/** Light colour to dark colour, for the script that fits a drawn figure to a dark page. */
export const darkOf: Readonly<Record<string, string>> = Object.freeze(
  Object.fromEntries([
    ...(Object.keys(light) as (keyof Colours)[]).map((key) => [light[key], dark[key]]),
    ...(["ink", "faint", "blue", "vermilion", "green", "purple", "orange"] as const).map((key) => [fillOf(light[key]), fillOf(dark[key], 0.28)]),
  ]),
);

/** How a line is drawn. */
export interface LineStyle {
  /** colour on white paper */
  readonly color: string;
  /** px */
  readonly width: number;
  /** plotly dash: "solid" or lengths in px */
  readonly dash: string;
}

type Hue = "blue" | "vermilion" | "green" | "purple" | "orange";

// Several lines of one role also differ in dash, so that they can be told apart without colour.
const roles: Readonly<Record<"prediction" | "measurement" | "comparison", { hues: Hue[]; width: number; dashes: string[] }>> = {
  prediction: { hues: ["blue", "green", "purple", "orange", "vermilion"], width: 2.4, dashes: ["solid", "9px,3px", "9px,3px,2px,3px", "3px,2px", "16px,4px"] },
  measurement: { hues: ["vermilion", "orange", "purple", "green", "blue"], width: 1.5, dashes: ["solid", "6px,2px", "2px,2px", "10px,2px,2px,2px"] },
  comparison: { hues: ["orange", "green", "purple", "blue", "vermilion"], width: 1.8, dashes: ["7px,4px", "2px,2px", "10px,3px,2px,3px", "4px,2px"] },
};

/**
 * Styles for the named lines of a figure, in their order; no unit.
 * A hue is used a second time only when all five are taken.
 *
 * @param lines  one entry for each different name and role
 */
export function lineStyles(lines: readonly { readonly role: TraceRole }[]): LineStyle[] {
  const used = new Map<Hue, number>();
  const counts = new Map<TraceRole, number>();
  return lines.map(({ role }) => {
    const place = counts.get(role) ?? 0;
    counts.set(role, place + 1);
    if (role === "residual") return { color: light.ink, width: 1.6, dash: ["solid", "6px,2px", "2px,2px"][place % 3]! };
    if (role === "limit") return { color: light.ink, width: 1.4, dash: ["7px,4px", "2px,3px", "12px,4px,2px,4px"][place % 3]! };
    if (role === "faint") return { color: light.faint, width: 1, dash: "solid" };
    const { hues, width, dashes } = roles[role];
    const hue = [...hues].sort((a, b) => (used.get(a) ?? 0) - (used.get(b) ?? 0))[0]!;
    used.set(hue, (used.get(hue) ?? 0) + 1);
    return { color: light[hue], width, dash: dashes[place % dashes.length]! };
  });
}
