/**
 * A text that stays in its line and changes nothing around it: line breaks and other control characters, and the marks that turn the direction
 * of writing, become one blank; no unit. For names from files, in tables of text and in a terminal.
 */
export function lineOfText(text: string): string {
  return text.replace(/[\p{Cc}\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069]+/gu, " ").trim();
}
