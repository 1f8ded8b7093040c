// The outbox: entries kept on this phone until the server says that they are in the logbook.
//
// An entry has its key and its time from the moment of pressing. It is sent in order, again and
// again until there is an answer; the server keeps a key once. Whatever the answer, the entry stays
// here with the server's words until somebody mends it, sends it anyway or takes it back.

import { result, tellOthers, whenOthersTell, within } from "./offline-store.js";

/**
 * @typedef {object} Entry
 * @property {number} number order in which they were made on this phone
 * @property {string} key 128 random bits; the server keeps each key once
 * @property {string} text what is said, in words of the logbook; empty with `undoes`
 * @property {string | null} undoes key of the entry that is taken back
 * @property {string | null} [corrects] key of the entry that this one takes the place of
 * @property {number} made_at UTC s by this phone's clock
 * @property {string} who
 * @property {boolean} sure the person was asked and says that it is so
 * @property {"waiting" | "kept" | "questioned" | "refused"} state
 * @property {string} words what the server said
 * @property {number} tried how often it was handed to the line
 * @property {boolean} undone taken back, by an entry that follows it
 * @property {number | null} settled_at UTC s of the answer
 */

const SHOWN_S = 24 * 3600;
const SETTLED_SHOWN = 40;
export const BATCH = 20;

/** @type {Set<() => void>} */
const listeners = new Set();
whenOthersTell(() => listeners.forEach((listener) => listener()));

/** Be told whenever the outbox changed, here or in another page. @param {() => void} listener */
export function onChange(listener) {
  listeners.add(listener);
}

function changed() {
  listeners.forEach((listener) => listener());
  tellOthers();
}

/** UTC s by this phone's clock. */
export function clock() {
  return Date.now() / 1000;
}

/** Return 128 random bits. `crypto.randomUUID` is for HTTPS alone. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * Keep an entry; when this returns, it is on this phone's disk.
 * @param {{text?: string, undoes?: string, corrects?: string, who?: string, sure?: boolean}} said
 * @returns {Promise<Entry>}
 * @throws {StorageRefused} nothing is kept
 */
export async function enter(said) {
  const entry = {
    key: newKey(),
    text: said.text ?? "",
    undoes: said.undoes ?? null,
    corrects: said.corrects ?? null,
    made_at: clock(),
    who: said.who ?? "",
    sure: said.sure ?? false,
    state: /** @type {const} */ ("waiting"),
    words: "",
    tried: 0,
    undone: false,
    settled_at: null,
  };
  const number = await within("entries", "readwrite", (store) => result(store.add(entry)));
  changed();
  return { ...entry, number: /** @type {number} */ (number) };
}

/** Return all entries in the order in which they were made. @returns {Promise<Entry[]>} */
export function entries() {
  return within("entries", "readonly", (store) => result(store.getAll()));
}

/**
 * Take an entry back. One that was never handed to the line goes without a trace; one that may have
 * arrived is taken back by another entry behind it, as in any logbook.
 * @param {string} key
 */
export async function undo(key) {
  const needsUndoing = await change(key, (entry, store) => {
    const mayBeThere = entry.state === "kept" || (entry.state === "waiting" && entry.tried > 0);
    if (!mayBeThere) store.delete(entry.number);
    else store.put({ ...entry, undone: true });
    return mayBeThere && !entry.undone;
  });
  if (needsUndoing) await enter({ undoes: key });
}

/**
 * Say what was questioned or refused in other words. It keeps its key and its place.
 * @param {string} key
 * @param {string} text
 */
export function mend(key, text) {
  return again(key, { text, sure: false });
}

/** Send what was questioned: it is so. @param {string} key */
export function sendAnyway(key) {
  return again(key, { sure: true });
}

/**
 * @param {string} key
 * @param {Partial<Entry>} changes
 */
function again(key, changes) {
  return change(key, (entry, store) => {
    if (entry.state !== "questioned" && entry.state !== "refused") return;
    store.put({ ...entry, ...changes, state: "waiting", words: "", settled_at: null });
  });
}

/** Tell whether any entry has no answer yet. */
export async function isAnyWaiting() {
  return (await entries()).some((entry) => entry.state === "waiting");
}

/** Return the next entries to send, in order, marked as handed to the line. */
export function takeBatch() {
  return within("entries", "readwrite", async (store) => {
    const waiting = (await result(store.getAll())).filter((entry) => entry.state === "waiting");
    const batch = waiting.slice(0, BATCH);
    for (const entry of batch) store.put({ ...entry, tried: entry.tried + 1 });
    return /** @type {Entry[]} */ (batch);
  });
}

/**
 * Write down what the server said of entries, and clear away what was settled long ago.
 * @param {Map<string, {state: "kept" | "questioned" | "refused", words: string}>} answers by key
 */
export async function settle(answers) {
  await within("entries", "readwrite", async (store) => {
    const all = /** @type {Entry[]} */ (await result(store.getAll()));
    for (const entry of all) {
      const answer = answers.get(entry.key);
      if (answer && entry.state === "waiting") {
        Object.assign(entry, answer, { settled_at: clock() });
        store.put(entry);
      }
    }
    const settled = all.filter((entry) => entry.state === "kept").reverse();
    const old = settled.filter(
      (entry, place) => place >= SETTLED_SHOWN || clock() - (entry.settled_at ?? 0) > SHOWN_S,
    );
    for (const entry of old) store.delete(entry.number);
  });
  changed();
}

/**
 * Change one entry in a transaction of its own; nothing happens when it is gone.
 * @template T
 * @param {string} key
 * @param {(entry: Entry, store: IDBObjectStore) => T} work
 * @returns {Promise<T | undefined>}
 */
async function change(key, work) {
  const found = await within("entries", "readwrite", async (store) => {
    const entry = await result(store.index("key").get(key));
    return entry ? work(entry, store) : undefined;
  });
  changed();
  return found;
}
