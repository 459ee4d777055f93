import { fontFamily } from "./theme.js";

/** Style of figures, tables and notes; what must not be lost without it stands in the elements as well. */
export const outputStyle: string = `
.airpath-figure, .airpath-table, .airpath-text { font-family: ${fontFamily}; line-height: 1.45; }
.airpath-plot > img { border-radius: 6px; }
.airpath-live { width: 100%; min-height: 200px; }
.airpath-drawn > img { display: none !important; }
.airpath-table table { border: none !important; margin: 0 !important; }
.airpath-table tbody tr { background: transparent !important; }
.airpath-table tbody tr:hover { background: rgba(128,128,128,0.12) !important; }
@media print {
  .airpath-drawn > img { display: block !important; }
  .airpath-live { display: none !important; }
  .airpath-drawn > img, .airpath-plot > img { width: 78% !important; height: auto !important; border-radius: 0; }
  .airpath-plot, .airpath-table tr, .airpath-notes li { break-inside: avoid; }
  .airpath-table p, .airpath-text > p:first-child { break-after: avoid; }
  .airpath-notes { break-before: avoid; }
  .airpath-table { font-size: 0.9em; break-inside: avoid; }
}`;
