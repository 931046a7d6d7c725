// Cells between Excel and the service: blanks, ranges and errors.

const CODES = {
  "#VALUE!": "invalidValue",
  "#N/A": "notAvailable",
  "#NUM!": "invalidNumber",
  "#DIV/0!": "divisionByZero",
  "#NULL!": "nullReference",
};
const READABLE = new Set([...Object.keys(CODES), "#REF!", "#NAME?"]);
const CARRIES_MESSAGE = new Set(["#VALUE!", "#N/A"]);

/** The arguments of a call, with those of a repeated argument, which come as one list of ranges, one by one. */
export function flattened(given) {
  return given.flatMap((value) => (Array.isArray(value?.[0]?.[0]) ? value : [value]));
}

/** An argument as the service takes it: one cell as itself, a range as rows. */
export function fromExcel(value) {
  if (!Array.isArray(value)) return cellFromExcel(value);
  const rows = value.map((row) => row.map(cellFromExcel));
  return rows.length === 1 && rows[0].length === 1 ? rows[0][0] : rows.length ? rows : null;
}

function cellFromExcel(cell) {
  if (cell === null || cell === undefined || cell === "") return null;
  if (typeof cell !== "object") return cell;
  return { error: READABLE.has(cell.code) ? cell.code : "#VALUE!" };
}

/**
 * An answer of the service as Excel takes it.
 * @throws {CustomFunctions.Error} If the answer as a whole is an error.
 */
export function toExcel(answer) {
  if (isError(answer)) throw excelError(answer);
  return Array.isArray(answer) ? answer.map((row) => row.map(cellToExcel)) : [[cellToExcel(answer)]];
}

function cellToExcel(cell) {
  if (cell === null) return "";
  return isError(cell) ? excelError(cell) : cell;
}

/** Whether a value in an answer is an error with its reason. */
export function isError(value) {
  return typeof value === "object" && value !== null && "error" in value;
}

/** Excel takes a sentence with two of its errors only, and gives some errors to functions without taking them back. */
function excelError({ error, reason = "" }) {
  if (!(error in CODES)) return new CustomFunctions.Error(CustomFunctions.ErrorCode.invalidValue, `${error} ${reason}`);
  const code = CustomFunctions.ErrorCode[CODES[error]];
  return CARRIES_MESSAGE.has(error) && reason ? new CustomFunctions.Error(code, reason) : new CustomFunctions.Error(code);
}
