// The clipboard, which a browser may refuse.

/** Copy a text; false where that is not allowed. */
export async function copyText(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false;
  }
}
