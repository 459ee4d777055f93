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

/** A shaded band between two lines of a panel, such as what an uncertainty leaves open; it stands behind the lines. */
export interface Band {
  /** legend text, plain (escaped when shown) */
  readonly name: string;
  /** values of the horizontal axis in the unit of the figure's x axis, ascending, n values */
  readonly x: Float64Array;
  /** lower edge in the unit of the panel's y axis, n values; not finite values leave a gap */
  readonly low: Float64Array;
  /** upper edge in the unit of the panel's y axis, n values; not finite values leave a gap */
  readonly high: Float64Array;
  /** what the band belongs to; it takes the colour of the first line of that role, or the colour that such a line would have */
  readonly role: TraceRole;
}

/** Values over the plane of a panel, drawn as colours: the x axis of the figure and the y axis of the panel. */
export interface HeatMap {
  /** what the colours stand for, for example "level" */
  readonly quantity: string;
  /** unit of the values, for example "dB re 20 uPa" */
  readonly unit: string;
  /** in the unit of the figure's x axis, ascending, all different, n values */
  readonly x: Float64Array;
  /** in the unit of the panel's y axis, ascending, all different, m values */
  readonly y: Float64Array;
  /** in `unit`, the value at x i and y j stands at place j * n + i; not finite values leave a gap */
  readonly values: Float64Array;
  /** ends of the colour scale, in `unit`; the range of the values when missing */
  readonly range?: readonly [number, number];
}

/** One panel of a figure: a y axis with its traces; panels of a figure share the x axis. */
export interface Panel {
  /** what the axis shows, for example "level" */
  readonly quantity: string;
  /** unit of the axis, for example "dB re 20 uPa" */
  readonly unit: string;
  readonly traces: readonly Trace[];
  /** shaded bands behind the traces */
  readonly bands?: readonly Band[];
  /** colours behind the traces, over the whole plane */
  readonly map?: HeatMap;
  /** fixed range of the axis, in its unit; chosen from the traces when missing */
  readonly range?: readonly [number, number];
  /** share of the height of the figure, no unit; 1 when missing */
  readonly weight?: number;
  /** shaded span of the x axis (for example the band of an overlay), in the unit of the x axis */
  readonly span?: { readonly from: number; readonly to: number; readonly name: string };
  /** "log" for a logarithmic y axis (impedance); "linear" when missing */
  readonly scale?: "linear" | "log";
}

/** What the lines of a figure look like at one place of its slider. */
export interface SliderState {
  /** y values of each trace of the figure, all panels one after the other, each in the unit of its panel and on the x of its trace */
  readonly y: readonly Float64Array[];
}

/** A slider under a figure that changes the values of its lines; pictures that do not move show the state it starts with and say so. */
export interface Slider {
  /** what it changes, for example "frequency" */
  readonly quantity: string;
  /** unit of its places, for example "Hz" */
  readonly unit: string;
  /** its places, in `unit`, as many as there are states */
  readonly places: Float64Array;
  /** one for each place */
  readonly states: readonly SliderState[];
  /** index of the state that the traces of the figure hold, no unit */
  readonly start: number;
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
  /** true for a drawing in a plane: one length in both directions, lines that may run back; for a figure of one panel whose axes share a unit */
  readonly equalScale?: boolean;
  /** a slider under the panels, where there is one */
  readonly slider?: Slider;
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
