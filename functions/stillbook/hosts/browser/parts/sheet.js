// The workbook the panel stands beside, through the Office JavaScript API. Away from a spreadsheet there is none.

import { NAMESPACE } from "../facts.js";

let ready;

/** Whether this page runs inside Excel. */
export function inExcel() {
  ready ??= typeof Office === "undefined" ? Promise.resolve(false) : Office.onReady().then(({ host }) => host === Office.HostType.Excel);
  return ready;
}

/** Sheet and cells of an address such as `'Door list'!B3:C4`. */
export function splitAddress(address) {
  const [, sheet, cells] = /^(.*)!([^!]+)$/.exec(address) ?? [null, "", address];
  return { sheet: sheet.replace(/^'(.*)'$/s, "$1").replaceAll("''", "'").replace(/^\[[^\]]*\]/, ""), cells };
}

function rangeAt(context, address) {
  const { sheet, cells } = splitAddress(address);
  const { worksheets } = context.workbook;
  return (sheet ? worksheets.getItem(sheet) : worksheets.getActiveWorksheet()).getRange(cells);
}

/** For each address, the type of each of its cells. */
export async function typesOf(addresses) {
  return Excel.run(async (context) => {
    const ranges = addresses.map((address) => rangeAt(context, address).load("valueTypes"));
    await context.sync();
    return ranges.map((range) => range.valueTypes);
  });
}

/** The cells at an address as the service takes them: one cell as itself, several as rows; a blank is null. */
export async function read(address) {
  return Excel.run(async (context) => {
    const range = rangeAt(context, address).load("values, valueTypes");
    await context.sync();
    const rows = range.values.map((row, r) => row.map((cell, c) => readCell(cell, range.valueTypes[r][c])));
    return rows.length === 1 && rows[0].length === 1 ? rows[0][0] : rows;
  });
}

function readCell(cell, type) {
  if (type === "Empty" || cell === "") return null;
  return type === "Error" ? { error: cell } : cell;
}

/** The address of the cells that are selected, with their sheet. */
export async function selection() {
  return Excel.run(async (context) => {
    const range = context.workbook.getSelectedRange().load("address");
    await context.sync();
    return range.address;
  });
}

/** Call back at each change of the selection. */
export async function onSelection(told) {
  await Excel.run(async (context) => {
    context.workbook.onSelectionChanged.add(told);
    await context.sync();
  });
}

/** Put a formula in the active cell; gives that cell's address. */
export async function insert(formula) {
  return Excel.run(async (context) => {
    const cell = context.workbook.getActiveCell().load("address");
    cell.formulas = [[formula]];
    await context.sync();
    return cell.address;
  });
}

/** Show and select a cell. */
export async function goTo(address) {
  await Excel.run(async (context) => {
    const range = rangeAt(context, address);
    range.worksheet.activate();
    range.select();
    await context.sync();
  });
}

/** Calculate every formula of the workbook again. */
export async function recalculate() {
  await Excel.run(async (context) => {
    context.workbook.application.calculate("Full");
    await context.sync();
  });
}

const PIECES = /"(?:[^"]|"")*"|(?:(?:'(?:[^']|'')*'|\[\d+\])!)?(?:_xldudf_|_xludf\.)?STILL_([A-Z][A-Z\d]*)(?=\()|'(?:[^']|'')*'/gi;

/** A formula with our names as this add-in spells them; text in quotes stays as it is. */
export function respelled(formula) {
  return formula.replace(PIECES, (piece, name) => (name ? `${NAMESPACE}.${name.toUpperCase()}` : piece));
}

/**
 * Enter again every formula of the workbook that calls ours in another host's spelling. Sheets that are protected
 * without a password are protected again in the same way.
 * @returns {Promise<{entered: number, left: string[]}>} How many were entered, and why others were left.
 */
export async function enterFormulas() {
  return Excel.run(async (context) => {
    const sheets = context.workbook.worksheets.load("items/name");
    await context.sync();
    const told = { entered: 0, left: [] };
    for (const sheet of sheets.items) {
      try {
        told.entered += await enterOn(sheet, context);
      } catch (error) {
        told.left.push(`${sheet.name}: ${error.message}`);
      }
    }
    return told;
  });
}

async function enterOn(sheet, context) {
  const used = sheet.getUsedRangeOrNullObject().load("formulas");
  sheet.protection.load("protected, options");
  await context.sync();
  if (used.isNullObject) return 0;
  const changed = used.formulas.flatMap((row, r) =>
    row.flatMap((formula, c) => {
      const spelled = typeof formula === "string" && formula.startsWith("=") ? respelled(formula) : formula;
      return spelled === formula ? [] : [{ r, c, spelled }];
    }),
  );
  if (!changed.length) return 0;
  const guarded = sheet.protection.protected;
  const { options } = sheet.protection;
  if (guarded) {
    sheet.protection.unprotect();
    await context.sync();
  }
  try {
    for (const { r, c, spelled } of changed) used.getCell(r, c).formulas = [[spelled]];
    await context.sync();
  } finally {
    if (guarded) {
      sheet.protection.protect(options);
      await context.sync();
    }
  }
  return changed.length;
}
