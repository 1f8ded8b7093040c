// Sending the outbox: one page at a time, in order, until each entry has an answer.

import { LogIn, NoLine, ask } from "./line.js";
import { result, within } from "./offline-store.js";
import { clock, isAnyWaiting, newKey, settle, takeBatch } from "./outbox.js";

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30_000;
const LEASE_S = 20; // longer than a request may take

const me = newKey();
/** Against forged requests, as the page brought it. */
let token = document.querySelector('meta[name="csrf-token"]')?.getAttribute("content") ?? "";
/** @type {Promise<void> | undefined} what is under way */
let sending;
let askedAgain = false;
let wait_ms = FIRST_WAIT_MS;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/**
 * Send what waits, now. Called with each new entry, when the page is looked at, when news come.
 * @returns {Promise<void>} done when all that was there at this call had its turn
 */
export function sendNow() {
  askedAgain = true;
  sending ??= sendWhileAsked();
  return sending;
}

async function sendWhileAsked() {
  clearTimeout(timer);
  try {
    while (askedAgain) {
      askedAgain = false;
      await sendAll();
    }
    wait_ms = FIRST_WAIT_MS;
  } catch (problem) {
    if (problem instanceof NoLine) later();
    else if (!(problem instanceof LogIn)) throw problem;
  } finally {
    sending = undefined;
    await giveBackLease();
  }
}

/** Look again after a while, each time a longer one, no two phones in step. */
function later() {
  clearTimeout(timer);
  timer = setTimeout(sendNow, wait_ms * (0.75 + 0.5 * Math.random()));
  wait_ms = Math.min(2 * wait_ms, LONGEST_WAIT_MS);
}

async function sendAll() {
  // The lease is for what waits alone: a page that is left in the middle would hold it up.
  while (await isAnyWaiting()) {
    if (!(await takeLease())) {
      later(); // another page is at it; should it be closed, this one goes on
      return;
    }
    const batch = await takeBatch();
    if (batch.length === 0) return;
    await settle(await send(batch));
  }
}

/**
 * @param {import("./outbox.js").Entry[]} batch
 * @returns {Promise<Map<string, {state: "kept" | "questioned" | "refused", words: string}>>}
 */
async function send(batch) {
  const response = await post(batch).catch(async (problem) => {
    // The session may have a new token since this page was opened; else the passphrase is wanted.
    if (!(problem instanceof LogIn)) throw problem;
    token = (await (await ask("/session")).json()).csrf;
    return post(batch);
  });
  if (response.status === 413 || response.status === 422) {
    return allRefused(batch, (await response.json()).problem ?? "That is not understood.");
  }
  if (!response.ok) throw new NoLine(`the server answers ${response.status}`);
  const answers = /** @type {{key: string, state: string, words: string}[]} */ (
    await response.json()
  );
  return new Map(answers.map((answer) => [answer.key, { state: stateOf(answer.state), words: answer.words }]));
}

/** @param {import("./outbox.js").Entry[]} batch */
function post(batch) {
  return ask("/entries", {
    method: "POST",
    headers: {
      "content-type": "application/json",
      "x-csrf-token": token,
      "x-phone-clock": String(clock()), // a clock that is wrong is put right by the difference
    },
    body: JSON.stringify(batch.map(asSent)),
  });
}

/** @param {import("./outbox.js").Entry} entry */
function asSent({ key, text, undoes, corrects, made_at, who, sure }) {
  return { key, text, undoes, corrects: corrects ?? null, made_at, who, sure };
}

/** @param {string} said */
function stateOf(said) {
  if (said === "kept" || said === "already there") return "kept";
  return said === "questioned" ? "questioned" : "refused";
}

/**
 * What the server would not even look at: told with each entry, so that nothing is tried for ever.
 * @param {import("./outbox.js").Entry[]} batch
 * @param {string} words
 */
function allRefused(batch, words) {
  return new Map(batch.map((entry) => [entry.key, { state: /** @type {const} */ ("refused"), words }]));
}

// `navigator.locks` is for HTTPS alone, so a lease in IndexedDB says who sends. It saves requests;
// that nothing is kept twice is the server's doing.

function takeLease() {
  return within("things", "readwrite", async (store) => {
    const lease = (await result(store.get("sender")))?.thing;
    const now = clock();
    const isTaken =
      lease && lease.who !== me && lease.until > now && lease.until <= now + LEASE_S;
    if (!isTaken) store.put({ name: "sender", thing: { who: me, until: now + LEASE_S } });
    return !isTaken;
  });
}

async function giveBackLease() {
  await within("things", "readwrite", async (store) => {
    const lease = (await result(store.get("sender")))?.thing;
    if (lease?.who === me) store.delete("sender");
  }).catch(() => undefined); // it runs out by itself
}
