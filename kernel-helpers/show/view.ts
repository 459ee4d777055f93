import type { Note } from "../../src/notes.js";

/** How a trace is drawn; the theme turns the role into colour, dash and width. */
export type TraceRole = "prediction" | "measurement" | "comparison" | "residual" | "limit" | "faint";

/** One line in a panel. */
export interface Trace {
  /** legend text, plain (escaped when shown) */
  readonly name: string;
  /** values of the horizontal axis in the unit of the figure's x axis */
  readonly x: Float64Array;
  /** values in the unit of the panel's y axis; not finite values leave a gap */
  readonly y: Float64Array;
  /** what the line stands for */
  readonly role: TraceRole;
}

/** One panel of a figure: a y axis with its traces; panels of a figure share the x axis. */
export interface Panel {
  /** what the axis shows, for example "level" */
  readonly quantity: string;
  /** unit of the axis, for example "dB re 20 uPa" */
  readonly unit: string;
  readonly traces: readonly Trace[];
  /** fixed range of the axis, in its unit; chosen from the traces when missing */
  readonly range?: readonly [number, number];
  /** share of the height of the figure, no unit; 1 when missing */
  readonly weight?: number;
  /** shaded span of the x axis (for example the band of an overlay), in the unit of the x axis */
  readonly span?: { readonly from: number; readonly to: number; readonly name: string };
  /** "log" for a logarithmic y axis (impedance); "linear" when missing */
  readonly scale?: "linear" | "log";
}

/** A figure of one or more panels over one horizontal axis. */
export interface Figure {
  readonly kind: "figure";
  /** says what the figure is */
  readonly title: string;
  /** one line under the title: drive, space, distance, smoothing; plain text */
  readonly subtitle?: string;
  readonly x: {
    /** "frequency" or "distance along the path" */
    readonly quantity: string;
    /** "Hz" or "m" */
    readonly unit: string;
    readonly scale: "log" | "linear";
    readonly range?: readonly [number, number];
  };
  readonly panels: readonly Panel[];
  /** shown under the figure, warnings first */
  readonly notes?: readonly Note[];
}

/** A table of text cells. */
export interface Table {
  readonly kind: "table";
  readonly title: string;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly notes?: readonly Note[];
}

/** A few sentences, plain text, one paragraph each. */
export interface Text {
  readonly kind: "text";
  readonly title: string;
  readonly paragraphs: readonly string[];
  readonly notes?: readonly Note[];
}

/** What can be shown. */
export type View = Figure | Table | Text;

/** A thing of the notebook that knows how it is shown. */
export interface Showable {
  /** the views of this thing, in the order in which they are shown */
  readonly views: () => readonly View[];
}
