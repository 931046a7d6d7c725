// The search field of the manual: a list of what was found below it, all by keys.

const MOST = 40;

const index = searchable(
  ENTRIES.map((entry) => ({
    ...entry,
    link: entry.link,
    name: entry.name.replace(/^STILL_/, ""),
    shown: entry.name,
    arguments: [],
    family: entry.kind,
    docstring: entry.more,
    source: "",
  })),
);

const field = document.getElementById("search");
const list = document.getElementById("found");
const count = document.getElementById("count");
const content = document.getElementById("content");

const heading = element("h1", "What was found", "unseen");
list.before(heading);

function element(tag, text, name) {
  const made = document.createElement(tag);
  made.textContent = text;
  if (name) made.className = name;
  return made;
}

function item(entry) {
  const link = element("a", "");
  link.href = entry.link;
  link.append(element("span", entry.shown || entry.summary, "name"));
  if (entry.shown) link.append(element("span", entry.summary, "gist"));
  link.append(element("span", entry.kind, "quiet"));
  const line = element("li", "");
  line.append(link);
  return line;
}

function show() {
  const asked = field.value.trim();
  const found = asked ? search(index, asked) : [];
  list.replaceChildren(...found.slice(0, MOST).map(item));
  content.hidden = found.length > 0;
  heading.hidden = !content.hidden;
  const more = found.length > MOST ? `, the first ${MOST} are shown` : "";
  count.textContent = asked ? (found.length ? `${found.length} found${more}` : "Nothing found: try another word") : "";
}

function move(event) {
  const links = [field, ...list.querySelectorAll("a")];
  const at = links.indexOf(document.activeElement);
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (at >= 0 && step && links[at + step]) {
    links[at + step].focus();
    event.preventDefault();
  } else if (event.key === "Enter" && at === 0 && links[1]) {
    links[1].click();
  } else if (event.key === "Escape" && at >= 0) {
    field.value = "";
    show();
    field.focus();
  } else if (event.key === "/" && !event.ctrlKey && !event.metaKey && !event.altKey && document.activeElement !== field) {
    field.focus();
    event.preventDefault();
  }
}

/** A link to this very page changes only the place on it: what it leads to must be there again. */
function leave() {
  field.value = "";
  show();
}

document.querySelector(".find").hidden = false;
field.addEventListener("input", show);
document.addEventListener("keydown", move);
list.addEventListener("click", (event) => event.target.closest("a") && leave());
window.addEventListener("pageshow", show);
