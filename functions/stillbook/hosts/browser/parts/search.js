// Finding a formula by the words of the trade.

import { FILLERS, MEANINGS } from "./words.js";

const WEIGHTS = { name: 8, summary: 5, arguments: 3, family: 2, help: 1, notes: 0.5 };
const ANOTHER_WORD = 0.7;
const FEW = 4;
const WHOLE_NAME = 20;
const WHOLE_PHRASE = 4;

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
 * The formulas that answer to a text, best first. Each word counts, also by its other names in the trade. First come
 * those that answer to most of the words; where these are few, those that answer to one word less follow.
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
        points: points.reduce((sum, each) => sum + each, pointsForWhole(entry, wordsOf(text))),
      };
    })
    .filter(({ met }) => met > 0);
  const most = Math.max(...found.map(({ met }) => met));
  const few = found.filter(({ met }) => met === most).length < FEW;
  return found
    .filter(({ met }) => met >= (few ? most - 1 : most))
    .sort((a, b) => b.met - a.met || b.points - a.points || a.formula.name.length - b.formula.name.length)
    .map(({ formula }) => formula);
}

/** More for a formula whose name is what was typed, or whose summary holds it as it stands. */
function pointsForWhole({ run, formula }, words) {
  const name = stem(words.join("").replace(/^still_?/, ""));
  const phrase = words.length > 1 && formula.summary.toLowerCase().includes(words.join(" "));
  return (stem(run) === name ? WHOLE_NAME : 0) + (phrase ? WHOLE_PHRASE : 0);
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
