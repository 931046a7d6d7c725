// The catalogue as the service tells it, asked for once.

import { ask } from "./service.js";

let asked;

/** Every formula, family by family. Asked again only after it could not be had. */
export function catalogue() {
  asked ??= ask("/catalogue");
  asked.catch(() => (asked = undefined));
  return asked;
}
