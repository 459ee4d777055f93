/**
 * Text made safe for HTML, inside an element or a quoted attribute; no unit.
 *
 * @param text  any text, also from files
 */
export function escapeHtml(text: string): string {
  return oneLine(text)
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}

/**
 * Text made safe for plotly, which reads a small part of HTML in every title and name; no unit.
 * Tags and the marks of its templates come out as the characters that were typed; a dollar sign stays itself because figures
 * turn the reading of formulas off.
 *
 * @param text  any text, also from files
 */
export function escapePlotly(text: string): string {
  return oneLine(text).replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll("%{", "&#37;{");
}

/**
 * JSON that may stand inside a script element: no "<" is left in it; no unit.
 *
 * @param value  anything JSON can hold
 */
export function scriptJson(value: unknown): string {
  return JSON.stringify(value).replaceAll("<", "\\u003c").replaceAll("\u2028", "\\u2028").replaceAll("\u2029", "\\u2029");
}

/**
 * Lower-case words joined by dashes, for attributes and file names; no unit.
 *
 * @param text  a title; letters outside a-z lose their accents or are left out
 * @returns     "figure" when nothing is left
 */
export function slug(text: string): string {
  const words = text.normalize("NFKD").toLowerCase().replaceAll(/[\u0300-\u036f]/g, "").match(/[a-z0-9]+/g);
  return words?.join("-") ?? "figure";
}

/**
 * A unit as it is printed: "dB re 20 uPa" becomes "dB re 20 \u00b5Pa", "ohm" becomes "\u03a9".
 *
 * @param unit  unit in plain letters
 */
export function printedUnit(unit: string): string {
  return unit
    .replaceAll(/\bohms?\b/g, "\u03a9")
    .replaceAll(/\bu(?=(?:Pa|m|s|V|H|F)\b)/g, "\u00b5")
    .replaceAll(/\^2\b/g, "\u00b2")
    .replaceAll(/\^3\b/g, "\u00b3")
    .replaceAll(/\b(?:degrees|deg)\b/g, "\u00b0");
}

/**
 * Text with the squares and cubes of lengths as they are printed: "cabin of 6.1 m^3" becomes "cabin of 6.1 m\u00b3"; no unit.
 *
 * @param text  any text; everything else stays as it came
 */
export function printedText(text: string): string {
  return text.replaceAll(/\b([cdmk]?m)\^([23])(?![\w.^])/g, (_, unit: string, power: string) => `${unit}${power === "2" ? "\u00b2" : "\u00b3"}`);
}

/** Control characters and line ends become single spaces: text of a file cannot break a line or a table. */
function oneLine(text: string): string {
  return text.replaceAll(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]+/g, " ");
}
