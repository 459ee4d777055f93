// Advance widths of the printable ASCII characters in thousandths of the font size, rounded to ten:
// measured in a browser on Liberation Sans, whose widths are those of the usual sans-serif faces.
const widths: Readonly<Record<string, number>> = {
  "'": 190, ijl: 220, "|": 260, " !,./:;I[\\]ft": 280, "()-`r{}": 330, '"': 350, "*": 390, "^": 470, Jcksvxyz: 500,
  "#$0123456789?L_abdeghnopqu": 560, "+<=>~": 580, FTZ: 610, "&ABEKPSVXY": 670, CDHNRUw: 720,
  GOQ: 780, Mm: 830, "%": 890, W: 940, "@": 1020,
};
const table = new Map<string, number>();
for (const [letters, width] of Object.entries(widths)) for (const letter of letters) table.set(letter, width);

/**
 * Estimated width of one line of sans-serif text, in px.
 *
 * @param text  plain text
 * @param size  font size in px
 * @param bold  bold letters are taken as 7 % wider
 */
export function textWidth(text: string, size: number, bold?: "bold"): number {
  let sum = 0;
  // Wide scripts fill the em square; the other letters outside ASCII are taken as a wide Latin letter.
  for (const letter of text) sum += table.get(letter) ?? (letter >= "\u2e80" ? 1000 : 620);
  return (sum / 1000) * size * (bold ? 1.07 : 1);
}

/**
 * Text broken into lines that are not wider than the limit, in px; a single word that is too wide is cut.
 *
 * @param text   plain text
 * @param limit  widest line in px
 * @param size   font size in px
 * @param bold   as in `textWidth`
 */
export function wrapText(text: string, limit: number, size: number, bold?: "bold"): string[] {
  const lines: string[] = [];
  let line = "";
  for (let word of text.trim().split(/\s+/)) {
    if (line !== "" && textWidth(`${line} ${word}`, size, bold) <= limit) {
      line += ` ${word}`;
      continue;
    }
    if (line !== "") lines.push(line);
    while (textWidth(word, size, bold) > limit) {
      let count = 1;
      const letters = [...word];
      while (count < letters.length && textWidth(letters.slice(0, count + 1).join(""), size, bold) <= limit) count++;
      lines.push(letters.slice(0, count).join(""));
      word = letters.slice(count).join("");
    }
    line = word;
  }
  if (line !== "" || lines.length === 0) lines.push(line);
  return lines;
}
