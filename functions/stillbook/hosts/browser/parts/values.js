// What a person types and reads: cell values as text, ranges as lines, formulas as they stand in a cell.

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i;

/** One typed value as a cell: a number, text, or null where nothing was typed. */
export function parseCell(text) {
  const clean = text.trim();
  if (!clean) return null;
  return NUMBER.test(clean) ? Number(clean) : clean;
}

/**
 * Typed lines as a range: a line is a row; tabs, semicolons or commas part its cells, whichever comes first in that
 * list. A single cell is that cell, nothing is null.
 */
export function parseRows(text) {
  const lines = text.split("\n").filter((line) => line.trim());
  if (!lines.length) return null;
  const mark = ["\t", ";"].find((each) => text.includes(each)) ?? ",";
  const rows = lines.map((line) => line.split(mark).map(parseCell));
  const width = Math.max(...rows.map((row) => row.length));
  for (const row of rows) while (row.length < width) row.push(null);
  return rows.length === 1 && width === 1 ? rows[0][0] : rows;
}

/** A cell or range as text that {@link parseRows} reads back. */
export function typed(value) {
  if (!Array.isArray(value)) return value === null ? "" : String(value);
  const cells = value.flat();
  const mark = cells.some((cell) => typeof cell === "string" && cell.includes(",")) ? "; " : ", ";
  return value.map((row) => row.map((cell) => cell ?? "").join(mark)).join("\n");
}

/** A value as a person reads it: a number in a few figures, or more where it has them before the point. */
export function shown(value, figures = 5) {
  if (typeof value === "boolean") return value ? "TRUE" : "FALSE";
  if (typeof value !== "number") return value ?? "";
  const size = Math.abs(value);
  if (size >= 1e12 || (size > 0 && size < 1e-4)) return String(Number(value.toPrecision(figures)));
  return value.toLocaleString("en-US", size >= 1000 ? { maximumFractionDigits: 2 } : { maximumSignificantDigits: figures });
}

/** The cells a typed value names: `=Doors!B3:B9` gives `Doors!B3:B9`; null where it names none. */
export function reference(text) {
  const match = /^\s*=\s*(.+?)\s*$/.exec(text);
  return match ? match[1] : null;
}

/** A call as it is typed in a cell. Blanks are written as empty text: some programs take an empty place for 0. */
export function formulaText(prefix, name, values) {
  const written = values.map(literal);
  while (written.length && written.at(-1) === '""') written.pop();
  return `=${prefix}${name}(${written.join(",")})`;
}

function literal(value) {
  if (value === null) return '""';
  if (Array.isArray(value)) return `{${value.map((row) => row.map(literal).join(",")).join(";")}}`;
  if (typeof value === "object") return value.cells;
  if (typeof value === "boolean") return value ? "TRUE" : "FALSE";
  return typeof value === "number" ? String(value) : `"${value.replaceAll('"', '""')}"`;
}
