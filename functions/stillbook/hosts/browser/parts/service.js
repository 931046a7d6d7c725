// The calculation service that this page comes from, and the token it asks for.

const KEY = "stillbook.token";
const PATIENCE = 60_000;
const NO_ANSWER = "the calculation service does not answer: start it with “stillbook serve”, then calculate again";

/** Why the service gave no answer; `status` is that of HTTP, 0 where nothing came back. */
export class ServiceError extends Error {
  constructor(message, status = 0, wait = 0) {
    super(message);
    this.status = status;
    this.wait = wait;
  }
}

let kept = "";

/** The token this page knows; empty where it knows none. */
export function token() {
  if (!kept) kept = stored() ?? "";
  return kept;
}

/** Keep the token in a text: the link that `stillbook serve` prints, or the token alone. False where it holds none. */
export function keepToken(text) {
  const found = /(?:#token=|^)([\w-]{20,})$/.exec(text.trim());
  if (!found) return false;
  kept = found[1];
  try {
    localStorage.setItem(KEY, kept);
  } catch {
    // A browser may refuse pages inside a spreadsheet their storage: then the token lasts as long as the page.
  }
  return true;
}

/** Forget the token, here and in the browser's storage. */
export function forgetToken() {
  kept = "";
  try {
    localStorage.removeItem(KEY);
  } catch {
    // There was nothing to remove.
  }
}

function stored() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

/**
 * Ask the service.
 * @param {string} path
 * @param {string} [body] JSON to send; without it the request only reads.
 * @returns {Promise<any>} What it answers.
 * @throws {ServiceError}
 */
export async function ask(path, body) {
  if (!token()) {
    throw new ServiceError("the token of the service is missing: open the Stillbook panel and paste the link there", 401);
  }
  let response;
  try {
    response = await fetch(path, {
      method: body === undefined ? "GET" : "POST",
      headers: { Authorization: `Bearer ${token()}`, "Content-Type": "application/json" },
      body,
      cache: "no-store",
      signal: AbortSignal.timeout(PATIENCE),
    });
    if (response.ok) return await response.json();
  } catch {
    throw new ServiceError(NO_ANSWER);
  }
  const told = await response.json().catch(() => ({}));
  if (response.status === 401) {
    throw new ServiceError("the token of the service is wrong: open the Stillbook panel and paste the link again", 401);
  }
  const wait = Number(response.headers.get("Retry-After")) || 1;
  throw new ServiceError(told.detail ?? `the service refused the request (${response.status})`, response.status, wait);
}
