// Shows a page as this phone kept it, in place of the one that cannot be opened, with its age.

import { ask, onLine } from "./line.js";
import { PATHS, keptPage } from "./kept-pages.js";

/** @typedef {import("./kept-pages.js").Kept} Kept */

const TELL_EVERY_MS = 30_000;

/** Whether what stands on this page is of before. */
let showing = false;

/** Whether a kept page is shown. */
export function isKept() {
  return showing;
}

/**
 * Show a kept page here.
 * @param {string} path
 * @returns {Promise<boolean>} there is one
 */
export async function showKept(path) {
  const kept = await keptPage(path).catch(() => null);
  const main = document.getElementById("main");
  if (!kept || !main) return false;
  showing = true;
  document.title = kept.title;
  document.body.dataset.now = String(Date.now() / 1000 + kept.ahead_s);
  const house = document.querySelector(".house");
  if (house) house.textContent = kept.house;
  for (const link of document.querySelectorAll(".screens a")) {
    if (link.getAttribute("href") === path) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  await styled(kept.styles);
  main.innerHTML = kept.html; // as the server made it; the content policy lets no script in it run
  main.prepend(new KeptSince(kept.at_ms));
  for (const script of kept.scripts) await loaded(script);
  await Promise.allSettled(kept.modules.map((each) => import(each)));
  main.focus({ preventScroll: true });
  scrollTo(0, 0);
  return true;
}

/** Pages that can be shown, for one that was not kept. */
export async function listKept() {
  const found = await Promise.all(PATHS.map(async (path) => ({ path, kept: await keptPage(path).catch(() => null) })));
  return found.filter((each) => each.kept !== null);
}

/** @param {string[]} addresses */
async function styled(addresses) {
  const there = new Set([...document.querySelectorAll("link[rel=stylesheet]")].map((each) => each.getAttribute("href")));
  const missing = addresses.filter((each) => !there.has(each)).map((address) => {
    const link = document.createElement("link");
    link.rel = "stylesheet";
    link.href = address;
    document.head.append(link);
    return came(link);
  });
  await Promise.all(missing);
}

/** @param {string} address of a plain script */
function loaded(address) {
  if ([...document.scripts].some((each) => each.getAttribute("src") === address)) return;
  const script = document.createElement("script");
  script.src = address;
  document.head.append(script);
  return came(script);
}

/** @param {HTMLElement} element that loads; one that doesn't come is done without */
function came(element) {
  return new Promise((resolve) => {
    element.addEventListener("load", resolve, { once: true });
    element.addEventListener("error", resolve, { once: true });
  });
}

/** How old a kept page is, and the way back to the real one. */
class KeptSince extends HTMLElement {
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #timer;
  #at_ms;
  #words = document.createElement("p");

  constructor(at_ms = Date.now()) {
    super();
    this.#at_ms = at_ms;
  }

  connectedCallback() {
    const again = document.createElement("button");
    again.textContent = "Try again";
    again.addEventListener("click", () => location.reload());
    this.className = "note kept-since";
    this.role = "status";
    this.replaceChildren(this.#words, again);
    this.#tell();
    this.#timer = setInterval(() => this.#tell(), TELL_EVERY_MS);
    onLine((state) => state === "there" && this.isConnected && this.#back());
  }

  disconnectedCallback() {
    clearInterval(this.#timer);
  }

  #tell() {
    const at = new Date(this.#at_ms);
    const isToday = at.toDateString() === new Date().toDateString();
    const clock = at.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    const day = isToday ? "" : `${at.toLocaleDateString([], { weekday: "long", day: "numeric", month: "long" })}, `;
    const before = age(Date.now() - this.#at_ms);
    this.#words.textContent = `No line to the computer. This is what it said at ${day}${clock}, ${before} ago.`;
    ask("/line").catch(() => undefined); // whoever listens is told when there is one again
  }

  /** The real page, unless something is being typed here. */
  #back() {
    if (document.activeElement?.matches("input, select, textarea")) {
      this.#words.textContent = "There is a line to the computer again.";
    } else {
      location.reload();
    }
  }
}

/** @param {number} ms */
export function age(ms) {
  const minutes = Math.max(0, Math.round(ms / 60_000));
  if (minutes < 1) return "less than 1 min";
  if (minutes < 90) return `${minutes} min`;
  const hours = Math.round(minutes / 60);
  return hours < 48 ? `${hours} h` : `${Math.round(hours / 24)} days`;
}

customElements.define("kept-since", KeptSince);
