// Pages that this phone keeps, to be shown without a line: today with its plan and tanks, what can
// be logged, the boil, the bench, the cautions. They lie in IndexedDB, which plain HTTP has too.

import { LogIn, NoLine, ask } from "./line.js";
import { StorageRefused, forgetThings, keepThing, thing } from "./offline-store.js";

export const PATHS = ["/", "/log", "/boil", "/bench", "/help", "/more"];
const BEFORE = "page:";
const LAST = "pages-kept";
const SERVES_MS = 5 * 60_000;
const PATIENCE_MS = 8000;

/**
 * @typedef {object} Kept
 * @property {string} title of the page
 * @property {string} house whose it is
 * @property {string} html of its main part
 * @property {string[]} styles
 * @property {string[]} scripts plain ones, in order
 * @property {string[]} modules
 * @property {number} at_ms when, by this phone's clock
 * @property {number} ahead_s of the server's clock before this phone's
 */

/**
 * Keep the pages as they are now, unless that was done a moment ago and nothing changed since.
 * @param {number} revision of what the server shows
 */
export async function keepPages(revision) {
  try {
    const last = await thing(LAST);
    const age_ms = Date.now() - (last?.at_ms ?? 0);
    if (last?.revision === revision && age_ms >= 0 && age_ms < SERVES_MS) return;
    for (const path of PATHS) await keepPage(path);
    await keepThing(LAST, { revision, at_ms: Date.now() });
  } catch (problem) {
    if (problem instanceof LogIn) await forgetPages();
    else if (!(problem instanceof NoLine || problem instanceof StorageRefused)) throw problem;
  }
}

/** @param {string} path */
async function keepPage(path) {
  const answer = await ask(path, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const main = page.querySelector("main");
  if (!main) return;
  const all = (/** @type {string} */ what, /** @type {string} */ name) =>
    [...page.head.querySelectorAll(what)].map((each) => each.getAttribute(name) ?? "");
  const modules = all("script[type=module]", "src");
  /** @type {Kept} */
  const kept = {
    title: page.title,
    house: page.querySelector(".house")?.textContent ?? "",
    html: main.innerHTML,
    styles: all("link[rel=stylesheet]", "href"),
    scripts: all("script:not([type])", "src"),
    modules,
    at_ms: Date.now(),
    ahead_s: Number(page.body.dataset.now) - Date.now() / 1000,
  };
  await keepThing(BEFORE + path, kept);
  if (!("serviceWorker" in navigator)) await prime(kept);
}

/**
 * Load what a page needs while there is a line: without a service worker nothing else keeps it. One
 * after the other, none for long: what hangs would take connections from the outbox.
 * @param {Kept} kept
 */
async function prime(kept) {
  for (const each of [...kept.styles, ...kept.scripts]) await came(each, "force-cache");
  for (const each of kept.modules) if (await came(each, "default")) await import(each).catch(() => undefined);
}

/** @param {string} address @param {RequestCache} cache */
function came(address, cache) {
  return fetch(address, { cache, signal: AbortSignal.timeout(PATIENCE_MS) }).then(
    (answer) => answer.ok,
    () => false,
  );
}

/**
 * Return a page that was kept, or null.
 * @param {string} path
 * @returns {Promise<Kept | null>}
 */
export function keptPage(path) {
  return thing(BEFORE + path);
}

/** Forget all pages: whoever holds this phone is signed out. What waits to be sent stays. */
export async function forgetPages() {
  await forgetThings(BEFORE);
  await forgetThings(LAST);
}
