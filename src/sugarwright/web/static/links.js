// Links when there may be no line. Without a service worker a page that cannot be opened would take
// this one with it: so the line is tried first, and a page that this phone keeps is shown here.

import { LogIn, NoLine, ask } from "./line.js";
import { keptPage } from "./kept-pages.js";
import { showOutbox } from "./outbox-list.js";
import { isKept, showKept } from "./show-kept.js";

const TRY_MS = 2500;

/** @param {MouseEvent} event */
function followed(event) {
  const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
  if (!(link instanceof HTMLAnchorElement) || link.target || link.hasAttribute("download")) return;
  if (event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
  const address = new URL(link.href);
  const isHere = address.pathname === location.pathname && address.hash;
  if (address.origin !== location.origin || isHere || navigator.serviceWorker?.controller) return;
  event.preventDefault();
  void open(address);
}

/** @param {URL} address */
async function open(address) {
  try {
    await ask("/line", {}, TRY_MS);
    location.assign(address);
  } catch (problem) {
    if (problem instanceof LogIn) location.assign(address);
    else if (!(problem instanceof NoLine)) throw problem;
    else if (await isThere(address.pathname)) {
      history.pushState(null, "", address);
      await showKept(address.pathname);
    } else showOutbox("No line to the computer: that page can't be opened now. This one stays.");
  }
}

/** @param {string} path */
async function isThere(path) {
  return (await keptPage(path).catch(() => null)) !== null;
}

/** Back and forth between kept pages. */
async function wentBack() {
  if (isKept() && !(await showKept(location.pathname))) location.reload();
}

/** What needs the computer is not sent into nothing. @param {SubmitEvent} event */
function sent(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || event.defaultPrevented || !isKept()) return;
  if (form.matches("[data-outbox], [data-bench]")) return;
  event.preventDefault();
  showOutbox("That needs the line to the computer: try again when there is one.");
}

document.addEventListener("click", followed);
document.addEventListener("submit", sent);
addEventListener("popstate", wentBack);
