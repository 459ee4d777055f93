/**
 * What came, short enough for an error text; no unit. Texts stand in quotation marks, lists and objects are only named, so that
 * neither a huge nor a hostile value (an object without a usable toString, a list of a million levels) makes the message fail.
 */
export function shownValue(value: unknown): string {
  if (value === undefined) return "nothing";
  if (value === null) return "null";
  if (typeof value === "string") return shownText(value);
  if (typeof value === "number" || typeof value === "boolean") return String(value);
  if (Array.isArray(value)) return "a list";
  if (ArrayBuffer.isView(value)) return "an array of numbers";
  return typeof value === "object" ? "an object" : `a ${typeof value}`;
}

function shownText(text: string): string {
  return JSON.stringify(text.length > 60 ? `${text.slice(0, 57)}...` : text);
}
