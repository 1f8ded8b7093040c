// The list at the top of a page: what is kept on this phone and not in the logbook yet.

import { line } from "./line.js";
import { StorageRefused } from "./offline-store.js";
import { entries, mend, sendAnyway, undo } from "./outbox.js";
import { sendNow } from "./outbox-send.js";

const LINES = {
  none: "No line to the computer. What you enter is kept on this phone, and goes out by itself.",
  "log in": "The computer wants the passphrase again. What waits stays on this phone.",
};
const STATES = {
  waiting: "kept on this phone",
  questioned: "asked back",
  refused: "refused",
  kept: "in the logbook",
};
/** @type {Intl.DateTimeFormatOptions} as everywhere else, whatever the phone's own habit */
const CLOCK = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
let turn = 0;

/** Draw the list anew. @param {string} [remark] */
export async function showOutbox(remark = "") {
  const mine = (turn += 1);
  const drawn = await content(remark);
  if (mine !== turn) return; // a later one is under way
  const list = place();
  const open = new Set(Array.from(list.querySelectorAll("details[open]"), keyOf));
  list.replaceChildren(...drawn);
  for (const each of list.querySelectorAll("details")) each.open = open.has(keyOf(each));
}

/** @param {string} remark */
async function content(remark) {
  try {
    const open = (await entries()).filter((each) => each.state !== "kept");
    const state = line();
    const words = state === "none" || state === "log in" ? LINES[state] : "";
    const parts = [remark, words].filter(Boolean).map((text) => element("p", text, "note"));
    if (state === "log in") parts.push(link("/login", "Log in"));
    if (state === "none" && !isSecureContext) {
      parts.push(element("p", "Plain HTTP: keep this page open, it can't be opened again without the line.", "soft"));
    }
    const asked = open.filter((each) => each.state !== "waiting");
    const waiting = open.filter((each) => each.state === "waiting");
    if (waiting.length > 0) parts.push(element("h2", `Waiting: ${waiting.length}`), list(waiting));
    if (asked.length > 0) parts.push(element("h2", `Not in the logbook: ${asked.length}`), list(asked));
    return parts;
  } catch (problem) {
    if (!(problem instanceof StorageRefused)) throw problem;
    const words = `${problem.message}. Without a line to the computer an entry would be lost.`;
    return [element("p", words, "problem")];
  }
}

/** @param {Element} details */
function keyOf(details) {
  return details.closest("li")?.dataset.key;
}

/** @param {import("./outbox.js").Entry[]} open */
function list(open) {
  const made = element("ol", "", "list");
  made.append(...open.map(row));
  return made;
}

/** @param {import("./outbox.js").Entry} entry */
function row(entry) {
  const made = document.createElement("li");
  made.dataset.state = entry.state;
  made.dataset.key = entry.key;
  const time = new Date(entry.made_at * 1000).toLocaleTimeString([], CLOCK);
  const said = entry.undoes ? "take an entry back" : `${entry.corrects ? "corrected: " : ""}${entry.text}`;
  const told = entry.undone ? "to be taken back" : meant(entry) || STATES[entry.state];
  const state = element("span", told, "badge");
  if (entry.state === "waiting") {
    const text = element("p", `${time}  ${said} `);
    text.append(state);
    made.append(text, choices(entry, said));
    return made;
  }
  // One line each: these lists stand above what a page is for.
  const details = document.createElement("details");
  const line = element("summary", "");
  line.append(element("span", said, "said"), state);
  details.append(line, element("p", `${time}. ${entry.words}`, "problem"), choices(entry, said));
  made.append(details);
  return made;
}

/** What was probably meant, by the server's own words. @param {import("./outbox.js").Entry} entry */
function meant(entry) {
  const found = /Did you mean ("[^"]+"\?)/.exec(entry.words);
  return found ? found[1].replaceAll('"', "") : "";
}

/**
 * What can be done about an entry.
 * @param {import("./outbox.js").Entry} entry
 * @param {string} said
 */
function choices(entry, said) {
  const buttons = element("div", "", "buttons");
  if (entry.state === "questioned") {
    buttons.append(button("It is so: send it", said, () => sendAnyway(entry.key)));
  }
  if (entry.state !== "waiting" && !entry.undoes) buttons.append(...mending(entry));
  if (!entry.undone && !entry.undoes) {
    buttons.append(button("Take back", said, () => undo(entry.key)));
  } else if (entry.state !== "waiting") {
    buttons.append(button("Leave it", said, () => undo(entry.key)));
  }
  return buttons;
}

/** A field with the words, and a button that sends them again. @param {import("./outbox.js").Entry} entry */
function mending(entry) {
  const field = document.createElement("input");
  field.value = entry.text;
  field.maxLength = 2000;
  field.setAttribute("aria-label", `Say it in other words: ${entry.text}`);
  return [field, button("Send as changed", entry.text, () => mend(entry.key, field.value))];
}

/**
 * @param {string} words
 * @param {string} of
 * @param {() => Promise<unknown>} act
 */
function button(words, of, act) {
  const made = /** @type {HTMLButtonElement} */ (element("button", words));
  made.type = "button";
  made.setAttribute("aria-label", `${words}: ${of}`);
  made.addEventListener("click", () => act().then(sendNow));
  return made;
}

/**
 * @param {string} href
 * @param {string} words
 */
function link(href, words) {
  const made = /** @type {HTMLAnchorElement} */ (element("a", words));
  made.href = `${href}?next=${encodeURIComponent(location.pathname)}`;
  return made;
}

/**
 * @param {string} name
 * @param {string} words
 * @param {string} [kind]
 */
function element(name, words, kind = "") {
  const made = document.createElement(name);
  made.textContent = words;
  if (kind) made.className = kind;
  return made;
}

function place() {
  const found = document.getElementById("outbox");
  if (found) return found;
  const made = element("section", "");
  made.id = "outbox";
  made.setAttribute("aria-label", "Kept on this phone");
  made.setAttribute("aria-live", "polite");
  document.getElementById("main")?.prepend(made);
  return made;
}
