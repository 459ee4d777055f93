import { FileError } from "../errors.js";
import type { Delimiter } from "./delimiter.js";
import type { ColumnMarks, Example, MarkEvidence, Order } from "./number-marks.js";
import type { DecimalMark } from "./numbers.js";

/** The decimal sign of a table, and why where that is not plain from a single cell. */
export interface DecimalDecision {
  readonly mark: DecimalMark;
  /** one sentence; undefined where the signs can be read in one way only */
  readonly reason: string | undefined;
}

/** What is known of the table besides its cells. */
interface TableForm {
  readonly file: string;
  readonly delimiter: Delimiter;
  readonly hasHeadings: boolean;
  /** cells in a row, no unit */
  readonly cells: number;
  /** Hz in one unit of the column of frequencies: 1000 where its heading says kHz */
  readonly hertz: number;
}

/** Hz: no sweep goes higher, so that a reading which does is wrong. Common practice, no source. */
const highestFrequency = 200_000;

/**
 * The decimal sign of a table, from all its cells; no unit.
 *
 * @param form  delimiter, whether headings exist, how many cells a row has
 * @throws FileError  when the same signs can be read in two ways, or contradict each other
 */
export function decideDecimal(evidence: MarkEvidence, form: TableForm): DecimalDecision {
  const { file } = form;
  if (evidence.cutGroup !== undefined && (form.delimiter === "comma" || form.delimiter === "space")) {
    const shown = evidence.cutGroup.cell.replace(" ", form.delimiter === "comma" ? "," : " ");
    throw ambiguous(file, { ...evidence.cutGroup, cell: shown }, "looks like one number with its thousands set apart", "write numbers without thousands signs");
  }
  if (form.delimiter === "comma" && !form.hasHeadings && form.cells > 2 && evidence.wholeOnly) {
    throw new FileError({
      file,
      came: `whole numbers between commas, ${form.cells} in a row, and no headings`,
      expected: `either columns of whole numbers or numbers with a decimal comma can be meant`,
      hint: 'add headings, or say decimal: "point" when they are whole numbers',
    });
  }
  const { commaDecimal, pointDecimal, commaGroups, pointGroups, comma3, point3 } = evidence;
  if (commaDecimal !== undefined && pointDecimal !== undefined) throw contradiction(file, commaDecimal, pointDecimal);
  if (commaDecimal !== undefined && commaGroups !== undefined) throw contradiction(file, commaDecimal, commaGroups);
  if (pointDecimal !== undefined && pointGroups !== undefined) throw contradiction(file, pointDecimal, pointGroups);
  if (commaGroups !== undefined && pointGroups !== undefined) throw contradiction(file, commaGroups, pointGroups);
  if (commaDecimal !== undefined || pointGroups !== undefined) {
    if (point3 !== undefined && !groupsAreClear(evidence, "point3")) throw contradiction(file, (commaDecimal ?? pointGroups)!, point3);
    return plain("comma");
  }
  if (pointDecimal !== undefined || commaGroups !== undefined) {
    if (comma3 !== undefined && !groupsAreClear(evidence, "comma3")) throw contradiction(file, (pointDecimal ?? commaGroups)!, comma3);
    return plain("point");
  }
  if (comma3 !== undefined && point3 !== undefined) throw contradiction(file, comma3, point3);
  if (comma3 !== undefined) return ofThree(evidence, { form, sign: "comma", example: comma3 });
  // between commas a point is the decimal sign
  if (point3 !== undefined && form.delimiter !== "comma") return ofThree(evidence, { form, sign: "point", example: point3 });
  return plain("point");
}

function plain(mark: DecimalMark): DecimalDecision {
  return { mark, reason: undefined };
}

/**
 * "1.000" beside "83,2" is one thousand for certain only in the column of frequencies, and there only when the
 * frequencies are in order as thousands and not as decimals.
 */
function groupsAreClear(evidence: MarkEvidence, sign: "comma3" | "point3"): boolean {
  return evidence.columns.every((marks, i) => marks[sign] === 0 || (i === 0 && inOrder(marks.asGroup) && !inOrder(marks.asDecimal)));
}

function inOrder(order: Order): boolean {
  return order.up || order.down;
}

/**
 * All signs stand before three digits. They are decimals where values have them too; where only frequencies have them,
 * the reading under which the column is in order, groups all its thousands and stays below 200 kHz is taken, with its reason.
 */
function ofThree(evidence: MarkEvidence, came: { readonly form: TableForm; readonly sign: DecimalMark; readonly example: Example }): DecimalDecision {
  const { form, sign, example } = came;
  const key = sign === "comma" ? "comma3" : "point3";
  const frequencies = evidence.columns[0]!;
  const others = evidence.columns.slice(1).filter((marks) => marks[key] > 0);
  if (others.length > 0) {
    // a comma in some cells of a column only is more likely a thousands sign; a lone point is not
    const mixed = sign === "comma" && evidence.columns.some((marks) => marks.comma3 > 0 && marks.plain > 0);
    if (mixed) throw unclear(form.file, sign, example);
    return plain(sign);
  }
  const decided = readFrequencies(frequencies, form.hertz);
  if (decided === undefined) throw unclear(form.file, sign, example);
  const other: DecimalMark = sign === "comma" ? "point" : "comma";
  return { mark: decided.areThousands ? other : sign, reason: `"${example.cell}" in row ${example.row} was read as ${decided.areThousands ? "thousands" : "a number with decimals"}: ${decided.why}; say decimal: "${decided.areThousands ? sign : other}" if that is wrong` };
}

/** How the signs of the frequencies are to be read, or undefined when both ways are as good. */
function readFrequencies(marks: ColumnMarks, hertz: number): { readonly areThousands: boolean; readonly why: string } | undefined {
  if (marks.longPlain > 0) return { areThousands: false, why: "other frequencies have four digits without a sign" };
  const [decimal, group] = [inOrder(marks.asDecimal), inOrder(marks.asGroup)];
  if (group && !decimal) return { areThousands: true, why: "only so are the frequencies in order" };
  if (decimal && !group) return { areThousands: false, why: "only so are the frequencies in order" };
  const highest = marks.asGroup.highest * hertz;
  if (highest > highestFrequency) return { areThousands: false, why: `as thousands the frequencies would reach ${highest} Hz` };
  return undefined;
}

function unclear(file: string, sign: DecimalMark, example: Example): FileError {
  const other: DecimalMark = sign === "comma" ? "point" : "comma";
  return ambiguous(file, example, `may be a decimal or a thousands ${sign}`, `say decimal: "${sign}" to read ${Number(example.cell.replace(",", "."))}, or decimal: "${other}" to read ${Number(example.cell.replace(/[.,]/, ""))}`);
}

function ambiguous(file: string, example: Example, why: string, hint: string): FileError {
  return new FileError({ file, row: example.row, came: `"${example.cell}" ${why}`, expected: "a number that can be read in one way only is expected", hint });
}

function contradiction(file: string, a: Example, b: Example): FileError {
  return new FileError({
    file,
    row: Math.max(a.row, b.row),
    came: `"${a.cell}" in row ${a.row} and "${b.cell}" in row ${b.row} do not have the same decimal sign`,
    expected: "one decimal sign in the whole table is expected",
    hint: 'write one sign throughout, or say decimal: "comma" or decimal: "point"',
  });
}
