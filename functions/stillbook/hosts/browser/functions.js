// The custom functions of the add-in: every formula of the catalogue, answered by the calculation service.

import { NAMES } from "./facts.js";
import { answer } from "./parts/calls.js";
import { flattened, fromExcel, toExcel } from "./parts/cells.js";
import { withBlanks } from "./parts/blanks.js";

/**
 * One call from a cell. Excel hands over the arguments and, last of all, what it tells about the call itself.
 * @param {string} name The formula's name without its prefix.
 * @param {unknown[]} given
 * @returns {Promise<unknown[][]>} Rows of cells; an error is thrown, as Excel expects it.
 */
async function calculate(name, given) {
  const invocation = /** @type {CustomFunctions.Invocation} */ (given.at(-1) ?? {});
  const read = flattened(given.slice(0, -1)).map(fromExcel);
  const values = await withBlanks(read, invocation.parameterAddresses);
  while (values.length && values.at(-1) === null) values.pop();
  return toExcel(await answer({ name, arguments: values, cell: invocation.address ?? "" }));
}

for (const name of NAMES) CustomFunctions.associate(name, (...given) => calculate(name, given));
