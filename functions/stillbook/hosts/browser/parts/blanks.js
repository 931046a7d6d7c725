// Blank cells that Excel hands over as 0. Some versions do so, and a blank thickness is not a thickness of 0.

import { typesOf } from "./sheet.js";

const WAIT = 5;

/**
 * The arguments of a call, with null where a 0 stands for a blank cell.
 * @param {unknown[]} values Arguments as the service takes them.
 * @param {unknown} addresses The cells each comes from, where Excel tells them.
 */
export async function withBlanks(values, addresses) {
  if (!Array.isArray(addresses)) return values;
  return Promise.all(
    values.map(async (value, place) => {
      const address = addresses[place];
      if (!hasZero(value) || typeof address !== "string" || !address.includes("!")) return value;
      const types = await typesAt(address);
      if (!fits(types, value)) return value;
      if (!Array.isArray(value)) return types[0][0] === "Empty" ? null : value;
      return value.map((row, r) => row.map((cell, c) => (cell === 0 && types[r][c] === "Empty" ? null : cell)));
    }),
  );
}

function hasZero(value) {
  return Array.isArray(value) ? value.some((row) => row.includes(0)) : value === 0;
}

function fits(types, value) {
  const rows = Array.isArray(value) ? value : [[value]];
  return types?.length === rows.length && types[0].length === rows[0].length;
}

let asked = new Map();

/** The types of the cells at an address, asked of Excel together with the other addresses of the same moment. */
function typesAt(address) {
  if (!asked.size) setTimeout(look, WAIT);
  if (!asked.has(address)) {
    const waiting = {};
    waiting.promise = new Promise((resolve) => (waiting.resolve = resolve));
    asked.set(address, waiting);
  }
  return asked.get(address).promise;
}

async function look() {
  const looking = asked;
  asked = new Map();
  let found = [];
  try {
    found = await typesOf([...looking.keys()]);
  } catch {
    // Then a blank stays 0, which the formula refuses where it cannot be meant.
  }
  [...looking.values()].forEach((waiting, place) => waiting.resolve(found[place]));
}
