// Making elements.

/**
 * An element with attributes and children. `class` and other attributes are set as written; a name that begins with
 * `on` adds a listener; false, null and undefined leave an attribute or a child out, true sets it without a value.
 */
export function h(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

let last = 0;

/** An id that no other element has. */
export function newId(what) {
  last += 1;
  return `${what}-${last}`;
}

/** Do something once a person has paused. */
export function paused(milliseconds, act) {
  let timer;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(act, milliseconds);
  };
}
