import { FileError } from "../errors.js";
import type { Delimiter } from "./delimiter.js";
import type { DecimalMark } from "./numbers.js";

/** A cell kept as an example for a message. */
interface Example {
  readonly cell: string;
  readonly row: number;
}

/** What commas and points in one column look like. */
interface ColumnMarks {
  /** cells such as "1,234": decimals or a thousands group */
  comma3: number;
  point3: number;
  /** cells without any sign */
  plain: number;
  /** values read with the point as a decimal sign, and with it left out, ascend */
  ascendsAsDecimal: boolean;
  ascendsAsGroup: boolean;
  lastDecimal: number;
  lastGroup: number;
}

/** What the commas and points of a whole table say; filled by `countMarks`, judged by `decideDecimal`. */
export interface MarkEvidence {
  commaDecimal: Example | undefined;
  pointDecimal: Example | undefined;
  commaGroups: Example | undefined;
  pointGroups: Example | undefined;
  comma3: Example | undefined;
  point3: Example | undefined;
  /** an unsigned whole number below 1000 right before a cell such as "050": one number cut in two */
  cutGroup: Example | undefined;
  /** a cell with a point or an exponent, or a minus sign: no half of a number with a decimal comma */
  wholeOnly: boolean;
  readonly columns: ColumnMarks[];
}

/** Evidence of a table of which nothing was seen yet. */
export function noEvidence(columns: number): MarkEvidence {
  const column = (): ColumnMarks => ({
    comma3: 0,
    point3: 0,
    plain: 0,
    ascendsAsDecimal: true,
    ascendsAsGroup: true,
    lastDecimal: -Infinity,
    lastGroup: -Infinity,
  });
  return {
    commaDecimal: undefined,
    pointDecimal: undefined,
    commaGroups: undefined,
    pointGroups: undefined,
    comma3: undefined,
    point3: undefined,
    cutGroup: undefined,
    wholeOnly: true,
    columns: Array.from({ length: columns }, column),
  };
}

const grouped = /^[+\u2212-]?[1-9]\d{0,2}(?:([.,])\d{3})(?:\1\d{3})*(?:([.,])\d*)?$/;

/** Adds one cell to the evidence. The order of values is followed in the column of frequencies only, which is column 0. */
export function countMarks(evidence: MarkEvidence, column: number, cell: string, before: string, row: number): void {
  const marks = evidence.columns[column]!;
  const signs = readSigns(cell);
  if (signs === undefined) return;
  const { marksFound, place, comma, start, end } = signs;
  if (marksFound > 1) return countGroups(evidence, marks, column, cell, row);
  if (cell.charCodeAt(0) === 48 && /^0\d\d(?:$|[.,])/.test(cell) && /^[1-9]\d{0,2}$/.test(before)) evidence.cutGroup ??= { cell: `${before} ${cell}`, row };
  if (marksFound === 0 && end === cell.length) {
    marks.plain++;
    if (column > 0 && start > 0) evidence.wholeOnly = false;
    if (column === 0) ascend(marks, Number(cell), Number(cell));
    return;
  }
  evidence.wholeOnly = false;
  if (marksFound === 0) return;
  const head = place - start;
  const isThree = end === cell.length && end - place === 4 && head >= 1 && head <= 3 && cell.charCodeAt(start) !== 48;
  if (column === 0) {
    const decimal = Number(comma ? cell.replace(",", ".") : cell);
    ascend(marks, decimal, isThree ? Number(cell.replace(/[.,]/, "")) : decimal);
  }
  if (isThree && comma) marks.comma3++, (evidence.comma3 ??= { cell, row });
  else if (isThree) marks.point3++, (evidence.point3 ??= { cell, row });
  else if (comma) evidence.commaDecimal ??= { cell, row };
  else evidence.pointDecimal ??= { cell, row };
}

interface Signs {
  /** commas and points */
  marksFound: number;
  /** place of the first comma or point */
  place: number;
  /** true when that is a comma */
  comma: boolean;
  /** place of the first digit or mark */
  start: number;
  /** place after the last digit, where an exponent may begin */
  end: number;
}

const signs: Signs = { marksFound: 0, place: 0, comma: false, start: 0, end: 0 };

/** Where commas and points stand in a cell of digits; undefined for any other cell. The result is used again by the next call. */
function readSigns(cell: string): Signs | undefined {
  const first = cell.charCodeAt(0);
  const start = first === 43 || first === 45 || first === 0x2212 || first === 0x2013 ? 1 : 0;
  signs.marksFound = 0;
  signs.start = start;
  let digits = 0;
  let i = start;
  for (; i < cell.length; i++) {
    const code = cell.charCodeAt(i);
    if (code >= 48 && code <= 57) digits++;
    else if (code === 44 || code === 46) {
      if (signs.marksFound++ === 0) {
        signs.place = i;
        signs.comma = code === 44;
      }
    } else break;
  }
  signs.end = i;
  if (digits === 0) return undefined;
  return i === cell.length || /^[eEdD][+\u2212-]?\d+$/.test(cell.slice(i)) ? signs : undefined;
}

/** Cells such as "1,234.5" or "1.234.567". */
function countGroups(evidence: MarkEvidence, marks: ColumnMarks, column: number, cell: string, row: number): void {
  evidence.wholeOnly = false;
  const groups = grouped.exec(cell);
  if (groups === null) return;
  const [, group, decimal] = groups;
  if (group === decimal) return;
  const value = Number(cell.replaceAll(group!, "").replace(",", "."));
  if (column === 0) ascend(marks, value, value);
  if (group === ",") evidence.commaGroups ??= { cell, row };
  else evidence.pointGroups ??= { cell, row };
  if (decimal === ",") evidence.commaDecimal ??= { cell, row };
  else if (decimal === ".") evidence.pointDecimal ??= { cell, row };
}

function ascend(marks: ColumnMarks, asDecimal: number, asGroup: number): void {
  if (asDecimal < marks.lastDecimal) marks.ascendsAsDecimal = false;
  if (asGroup < marks.lastGroup) marks.ascendsAsGroup = false;
  marks.lastDecimal = asDecimal;
  marks.lastGroup = asGroup;
}

/**
 * The decimal sign of a table, from all its cells; no unit.
 *
 * @param form  delimiter, whether headings exist, how many cells a row has
 * @throws FileError  when the same signs can be read in two ways, or contradict each other
 */
export function decideDecimal(
  evidence: MarkEvidence,
  form: { readonly file: string; readonly delimiter: Delimiter; readonly hasHeadings: boolean; readonly cells: number },
): DecimalMark {
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
    return "comma";
  }
  if (pointDecimal !== undefined || commaGroups !== undefined) {
    if (comma3 !== undefined && !groupsAreClear(evidence, "comma3")) throw contradiction(file, (pointDecimal ?? commaGroups)!, comma3);
    return "point";
  }
  if (comma3 !== undefined && point3 !== undefined) throw contradiction(file, comma3, point3);
  if (comma3 !== undefined) return commaOfThree(evidence, file, comma3);
  if (point3 !== undefined) {
    const marks = evidence.columns[0]!;
    if (marks.point3 > 0 && marks.plain > 0 && !marks.ascendsAsDecimal && marks.ascendsAsGroup) {
      throw ambiguous(file, point3, "may be a decimal or a thousands point", 'say decimal: "point" or decimal: "comma"');
    }
  }
  return "point";
}

/**
 * "1.000" beside "83,2" is one thousand for certain only in the column of frequencies, and there only when the
 * frequencies ascend as thousands and do not as decimals.
 */
function groupsAreClear(evidence: MarkEvidence, sign: "comma3" | "point3"): boolean {
  return evidence.columns.every((marks, i) => marks[sign] === 0 || (i === 0 && marks.ascendsAsGroup && !marks.ascendsAsDecimal));
}

/** All commas stand before three digits: decimals if every cell of those columns has them and not only frequencies do. */
function commaOfThree(evidence: MarkEvidence, file: string, example: Example): DecimalMark {
  const some = evidence.columns.map((marks) => marks.comma3 > 0);
  const mixed = evidence.columns.some((marks) => marks.comma3 > 0 && marks.plain > 0);
  const onlyFrequencies = some[0]! && some.filter(Boolean).length === 1;
  if (mixed || onlyFrequencies) {
    throw ambiguous(file, example, "may be a decimal or a thousands comma", 'say decimal: "comma" or decimal: "point"');
  }
  return "comma";
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
