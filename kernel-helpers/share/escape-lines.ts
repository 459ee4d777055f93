/** Colour and cursor codes of terminals. */
const terminalCodes = /\u001b(?:\[[0-?]*[ -/]*[@-~]|\][^\u0007\u001b]*(?:\u0007|\u001b\\)|[@-Z\\-_])/g;

/**
 * Text of several lines made safe for HTML; no unit. Line ends and tabs stay, terminal codes and other control
 * characters go, and a line that was overwritten with a carriage return shows its last state.
 *
 * @param text  any text, also from files or error messages
 */
export function escapeLines(text: string): string {
  return text
    .replaceAll(terminalCodes, "")
    .replaceAll("\r\n", "\n")
    .replaceAll(/^[^\n]*\r(?=[^\n])/gm, "")
    .replaceAll(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f]/g, "")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}
