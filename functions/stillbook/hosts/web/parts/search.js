// Finding a formula by the words of the trade.

import { FILLERS, MEANINGS } from "./words.js";

const WEIGHTS = { name: 6, summary: 5, arguments: 3, family: 2, help: 1, notes: 0.5 };
const ANOTHER_WORD = 0.7;

/** What is looked through for each formula of the catalogue. */
export function searchable(formulas) {
  return formulas.map((formula) => ({
    formula,
    run: formula.name.toLowerCase(),
    fields: {
      name: wordsOf(formula.name),
      summary: wordsOf(formula.summary),
      arguments: wordsOf(formula.arguments.map((each) => each.words).join(" ")),
      family: wordsOf(formula.family),
      help: wordsOf(formula.arguments.map((each) => `${each.help} ${each.choices.join(" ")}`).join(" ")),
      notes: wordsOf(`${formula.docstring} ${formula.source}`),
    },
  }));
}

/**
 * The formulas that answer to a text, best first. Each word counts, also by its other names in the trade; where no
 * formula answers to all words, those that answer to most of them are given.
 */
export function search(index, text) {
  const words = wordsOf(text).filter((word) => !FILLERS.has(word));
  if (!words.length) return index.map(({ formula }) => formula);
  const found = index
    .map((entry) => {
      const points = words.map((word) => pointsFor(entry, word));
      return {
        formula: entry.formula,
        met: points.filter((each) => each > 0).length,
        points: points.reduce((sum, each) => sum + each, 0),
      };
    })
    .filter(({ met }) => met > 0);
  const most = Math.max(...found.map(({ met }) => met));
  return found
    .filter(({ met }) => met === most)
    .sort((a, b) => b.points - a.points || a.formula.name.length - b.formula.name.length)
    .map(({ formula }) => formula);
}

function pointsFor(entry, word) {
  const other = (MEANINGS[word] ?? MEANINGS[stem(word)] ?? []).map((each) => ANOTHER_WORD * pointsForWord(entry, each));
  return Math.max(pointsForWord(entry, word), ...other);
}

function pointsForWord({ run, fields }, word) {
  let best = word.length >= 3 && run.includes(stem(word)) ? WEIGHTS.name * (run.startsWith(stem(word)) ? 1 : 0.8) : 0;
  let sum = 0;
  for (const [field, words] of Object.entries(fields)) {
    const likeness = Math.max(0, ...words.map((each) => alike(each, word)));
    best = Math.max(best, WEIGHTS[field] * likeness);
    sum += WEIGHTS[field] * likeness;
  }
  return best + sum / 10;
}

function alike(word, asked) {
  if (stem(word) === stem(asked)) return 1;
  return asked.length >= 3 && word.startsWith(stem(asked)) ? 0.7 : 0;
}

function stem(word) {
  return word.length > 3 ? word.replace(/(?<=[^s])s$/, "") : word;
}

function wordsOf(text) {
  return text.toLowerCase().match(/[a-z\d²³]+/g) ?? [];
}
