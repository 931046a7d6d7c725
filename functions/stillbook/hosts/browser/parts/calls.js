// Formula calls, gathered for a moment and sent to the service together; answers come back in their order.

import { ask } from "./service.js";

const WAIT = 20;
const MOST_CALLS = 1000;
const MOST_CHARACTERS = 1_000_000;
const AT_ONCE = 2;
const TRIES_WHEN_BUSY = 5;

let queue = [];

/**
 * The answer to a call. It never fails: whatever goes wrong is an error value with its reason.
 * @param {{name: string, arguments: unknown[], cell?: string, listed?: boolean}} call `listed` is false for what a person only tries out.
 */
export function answer(call) {
  return new Promise((resolve) => {
    if (!queue.length) setTimeout(sendAll, WAIT);
    queue.push({ text: JSON.stringify(call), resolve });
  });
}

async function sendAll() {
  const portions = portioned(queue);
  queue = [];
  const lane = async () => {
    while (portions.length) await send(portions.shift());
  };
  await Promise.all(Array.from({ length: AT_ONCE }, lane));
}

/** Calls in portions that one request may hold. */
function portioned(waiting) {
  const portions = [];
  let size = Infinity;
  for (const one of waiting) {
    if (size + one.text.length > MOST_CHARACTERS || portions.at(-1).length >= MOST_CALLS) {
      portions.push([]);
      size = 0;
    }
    portions.at(-1).push(one);
    size += one.text.length;
  }
  return portions;
}

async function send(portion) {
  try {
    const answers = await patiently(`{"calls":[${portion.map((one) => one.text).join(",")}]}`);
    if (answers?.length !== portion.length) throw new Error("the service gave answers to other calls: calculate again");
    portion.forEach((one, place) => one.resolve(answers[place]));
  } catch (error) {
    if (error.status === 413 && portion.length > 1) {
      const half = Math.ceil(portion.length / 2);
      await send(portion.slice(0, half));
      await send(portion.slice(half));
    } else {
      for (const one of portion) one.resolve({ error: "#N/A", reason: error.message });
    }
  }
}

/** The answers to one request; while the service is busy with others, it is asked again. */
async function patiently(body) {
  for (let left = TRIES_WHEN_BUSY; ; left -= 1) {
    try {
      return (await ask("/calls", body)).answers;
    } catch (error) {
      if (error.status !== 503 || left <= 1) throw error;
      await new Promise((resolve) => setTimeout(resolve, error.wait * 1000));
    }
  }
}
