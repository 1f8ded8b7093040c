// What every page has without the server: forms marked data-outbox go through the outbox, and a
// list at the top of the page says what waits, what is questioned, and what is missing here. Pages
// are kept, to be shown when the server is not reached.

import "./links.js";
import { forgetPages, keepPages } from "./kept-pages.js";
import { onLine } from "./line.js";
import { StorageRefused } from "./offline-store.js";
import { onChange, enter, entries } from "./outbox.js";
import { showOutbox } from "./outbox-list.js";
import { sendNow } from "./outbox-send.js";
import { isKept } from "./show-kept.js";

const ANSWER_MS = 9000; // a little longer than a request may take
const KEEP_AFTER_MS = 2500;

/** @param {SubmitEvent} event */
async function submitted(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.matches("form[data-outbox]")) return;
  event.preventDefault();
  const data = new FormData(form);
  const said = (/** @type {string} */ name) => String(data.get(name) ?? "").trim();
  const undoes = said("undoes") || undefined;
  if (!undoes && !said("text")) return;
  const button = event.submitter;
  if (button instanceof HTMLButtonElement) button.disabled = true;
  try {
    const corrects = said("corrects") || undefined;
    const text = undoes ? "" : said("text");
    const entry = await enter({ text, undoes, corrects, sure: data.has("sure") });
    if (!undoes) form.reset();
    await Promise.race([sendNow(), new Promise((resolve) => setTimeout(resolve, ANSWER_MS))]);
    await shown(entry.key, undoes, said("back") || "/log");
  } catch (problem) {
    if (!(problem instanceof StorageRefused)) throw problem;
    form.submit(); // nothing can be kept here: straight to the server, as without this script
  } finally {
    if (button instanceof HTMLButtonElement) button.disabled = false;
  }
}

/**
 * Go to the page that says what was kept; what was not stays in the list on this one.
 * @param {string} key
 * @param {string | undefined} undoes
 * @param {string} back path of that page
 */
async function shown(key, undoes, back) {
  const entry = (await entries()).find((each) => each.key === key);
  if (entry?.state !== "kept") return;
  location.assign(`${back}?${undoes ? "undone" : "kept"}=${key}`);
}

/** Keep pages for later, a while after this one is drawn and after news. */
function keepLater() {
  clearTimeout(later);
  later = setTimeout(() => !isKept() && keepPages(Number(document.body.dataset.revision)), KEEP_AFTER_MS);
}

/** @type {ReturnType<typeof setTimeout> | undefined} */
let later;
document.addEventListener("submit", submitted);
document.addEventListener("visibilitychange", () => document.hidden || sendNow());
document.body.addEventListener("changed", () => {
  sendNow(); // news came: there is a line
  keepLater();
});
addEventListener("online", () => sendNow());
onChange(() => showOutbox());
onLine((state) => {
  showOutbox();
  if (state === "log in") forgetPages().catch(() => undefined);
});
showOutbox();
sendNow();
if (document.querySelector(".screens")) {
  keepLater();
  navigator.serviceWorker?.register("/service-worker.js").catch(() => undefined); // links.js does without
}
