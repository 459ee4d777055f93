/** A cell kept as an example for a message. */
export interface Example {
  /** as it stands in the file */
  readonly cell: string;
  /** line of the file, the first being 1; no unit */
  readonly row: number;
}

/** What commas and points in one column look like. */
export interface ColumnMarks {
  /** cells such as "1,234": decimals or a thousands group; no unit */
  comma3: number;
  /** cells such as "1.234": decimals or a thousands group; no unit */
  point3: number;
  /** cells without any sign; no unit */
  plain: number;
  /** cells of four or more digits without any sign, thousands that are not set in groups; no unit */
  longPlain: number;
  /** the values with "1.000" read as 1 */
  readonly asDecimal: Order;
  /** the values with "1.000" read as 1000 */
  readonly asGroup: Order;
}

/** Whether values, in the order of the file, go up or down throughout. */
export interface Order {
  /** no value is below the one before it */
  up: boolean;
  /** no value is above the one before it */
  down: boolean;
  /** value of the last cell, in the unit of the file */
  last: number;
  /** largest value, in the unit of the file */
  highest: number;
}

/** What the commas and points of a whole table say; filled by `countMarks`, judged by `decideDecimal` (decide-decimal.ts). */
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
  const order = (): Order => ({ up: true, down: true, last: NaN, highest: -Infinity });
  const column = (): ColumnMarks => ({ comma3: 0, point3: 0, plain: 0, longPlain: 0, asDecimal: order(), asGroup: order() });
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
    if (end - start > 3) marks.longPlain++;
    if (column > 0 && start > 0) evidence.wholeOnly = false;
    if (column === 0) follow(marks, Number(cell), Number(cell));
    return;
  }
  evidence.wholeOnly = false;
  if (marksFound === 0) return;
  const head = place - start;
  const isThree = end === cell.length && end - place === 4 && head >= 1 && head <= 3 && cell.charCodeAt(start) !== 48;
  if (column === 0) {
    const decimal = Number(comma ? cell.replace(",", ".") : cell);
    follow(marks, decimal, isThree ? Number(cell.replace(/[.,]/, "")) : decimal);
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
  if (column === 0) follow(marks, value, value);
  if (group === ",") evidence.commaGroups ??= { cell, row };
  else evidence.pointGroups ??= { cell, row };
  if (decimal === ",") evidence.commaDecimal ??= { cell, row };
  else if (decimal === ".") evidence.pointDecimal ??= { cell, row };
}

function follow(marks: ColumnMarks, asDecimal: number, asGroup: number): void {
  add(marks.asDecimal, asDecimal);
  add(marks.asGroup, asGroup);
}

function add(order: Order, value: number): void {
  if (value < order.last) order.up = false;
  if (value > order.last) order.down = false;
  if (value > order.highest) order.highest = value;
  order.last = value;
}
