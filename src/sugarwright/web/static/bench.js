// The bench page: answers come into the page; without a line they are read from the tables that
// this phone keeps. Without this script the forms go to the server and come back as pages.

import { Bench, NotHere } from "./bench-answers.js";
import { LogIn, NoLine, ask } from "./line.js";
import { keepThing, thing } from "./offline-store.js";

/** @typedef {import("./bench-answers.js").Told} Told */

const KEPT = "bench-tables";
const ADDRESS = new URL("./bench-tables.json", import.meta.url);

/** The tables: as the server has them now, else as this phone keeps them. */
async function tables() {
  try {
    // Not by `ask`: a service worker may answer this by itself, which tells nothing of the line.
    const answer = await fetch(ADDRESS);
    const found = await answer.json();
    await keepThing(KEPT, found).catch(() => undefined); // they serve this page all the same
    return found;
  } catch {
    return thing(KEPT).catch(() => null);
  }
}

let kept = tables();

/** @param {SubmitEvent} event */
async function asked(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.dataset.bench) return;
  event.preventDefault();
  const button = event.submitter;
  if (button instanceof HTMLButtonElement) button.disabled = true;
  const address = new URL(form.action);
  address.search = String(new URLSearchParams(/** @type {any} */ (new FormData(form))));
  try {
    await fromServer(form, address);
  } catch (problem) {
    if (problem instanceof LogIn) location.assign(address);
    else if (problem instanceof NoLine) await fromTables(form);
    else throw problem;
  } finally {
    if (button instanceof HTMLButtonElement) button.disabled = false;
  }
}

/**
 * @param {HTMLFormElement} form
 * @param {URL} address
 */
async function fromServer(form, address) {
  const answer = await ask(address.href, { headers: { accept: "text/html" } });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const found = page.querySelector(`[data-answer="${form.dataset.bench}"]`);
  if (!found) throw new NoLine("no answer in that page");
  const wrong = new Set([...page.querySelectorAll("[aria-invalid]")].map((field) => field.id));
  show(form, [...found.childNodes], wrong);
  history.replaceState(null, "", address);
}

/** @param {HTMLFormElement} form */
async function fromTables(form) {
  const document = (await kept) ?? (await (kept = tables()));
  try {
    if (!document) throw new NotHere("No line to the computer, and its tables are not on this phone yet.");
    const terms = JSON.parse(window.document.getElementById("bench-terms")?.textContent ?? "null");
    show(form, drawn(new Bench(document, terms, typedIn(form)).answer(form.dataset.bench ?? "")));
  } catch (problem) {
    if (!(problem instanceof NotHere)) throw problem;
    show(form, [made("p", problem.message, "problem")]);
  }
}

/**
 * What was typed, in SI.
 * @param {HTMLFormElement} form
 */
function typedIn(form) {
  /** @type {import("./bench-answers.js").Typed} */
  const typed = { numbers: new Map(), picks: new Map() };
  for (const field of form.elements) {
    if (field instanceof HTMLInputElement && field.inputMode === "decimal") {
      const text = field.value.trim().replace(",", ".");
      if (!text) continue;
      const unit = field.dataset.factor ? field.dataset : unitBeside(field);
      const number = /^[-+]?\d*\.?\d+$/.test(text) ? Number(text) : NaN;
      if (Number.isNaN(number)) throw new NotHere(`${label(field)}: "${field.value}" is no number. Write it like 66.9.`);
      const value = number * Number(unit.factor) + Number(unit.offset);
      typed.numbers.set(field.name, { value, suffix: unit.suffix ?? "", scale: unit.scale ?? "" });
    } else if (field instanceof HTMLInputElement && field.type === "checkbox" && field.checked) {
      typed.picks.set(field.name, [...(typed.picks.get(field.name) ?? []), field.value]);
    } else if (field instanceof HTMLSelectElement) {
      typed.picks.set(field.name, [field.value]);
    }
  }
  return typed;
}

/** @param {HTMLInputElement} field */
function unitBeside(field) {
  const select = field.parentElement?.querySelector("select");
  return select?.selectedOptions[0]?.dataset ?? { factor: "1", offset: "0" };
}

/** @param {HTMLInputElement} field */
function label(field) {
  return field.labels?.[0]?.textContent?.trim() ?? field.name;
}

/**
 * @param {HTMLFormElement} form
 * @param {Node[]} nodes
 * @param {Set<string>} [wrong] ids of fields
 */
function show(form, nodes, wrong = new Set()) {
  const place = form.parentElement?.querySelector("[data-answer]");
  if (!(place instanceof HTMLElement)) return;
  place.replaceChildren(...nodes);
  for (const field of form.querySelectorAll("input")) {
    if (wrong.has(field.id)) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
  place.focus({ preventScroll: true });
  form.parentElement?.scrollIntoView();
}

/** @param {Told} told */
function drawn(told) {
  return [
    made("p", told.head, "head"),
    ...told.parts.map((part) => {
      if ("text" in part) return made("p", part.text, part.kind === "warning" ? "note" : (part.kind ?? ""));
      return table(part.titles, part.rows);
    }),
  ];
}

/**
 * @param {string[]} titles
 * @param {string[][]} rows
 */
function table(titles, rows) {
  const around = made("div", "", "table");
  around.tabIndex = 0;
  around.role = "region";
  around.ariaLabel = "Table";
  const [head, body] = [made("thead", ""), made("tbody", "")];
  const whole = made("table", "");
  const line = (/** @type {string[]} */ cells, /** @type {boolean} */ isHead) => {
    const row = made("tr", "");
    row.append(...cells.map((text, place) => {
      const cell = made(isHead || !place ? "th" : "td", text, place ? "number" : "");
      if (isHead || !place) cell.setAttribute("scope", isHead ? "col" : "row");
      if (isHead && !text) cell.append(made("span", "and", "hidden"));
      return cell;
    }));
    return row;
  };
  head.append(line(titles, true));
  body.append(...rows.map((row) => line(row, false)));
  whole.append(head, body);
  around.append(whole);
  return around;
}

/**
 * @param {string} tag
 * @param {string} text
 * @param {string} [words] classes
 */
function made(tag, text, words = "") {
  const element = document.createElement(tag);
  if (text) element.textContent = text;
  if (words) element.className = words;
  return element;
}

document.addEventListener("submit", asked);
