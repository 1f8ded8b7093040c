// What this phone keeps by itself: IndexedDB, which plain HTTP pages have too.
// Two shelves: "entries" (the outbox, numbered in the order in which they were made) and "things"
// (the last plan and state, the tables of the bench, who is sending).

const NAME = "sugarwright";
const VERSION = 1;
const NEWS = "BroadcastChannel" in globalThis ? new BroadcastChannel(NAME) : null;

/** Nothing can be kept on this phone: private browsing, no room, storage switched off. */
export class StorageRefused extends Error {}

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function database() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const entries = asked.result.createObjectStore("entries", {
        keyPath: "number",
        autoIncrement: true,
      });
      entries.createIndex("key", "key", { unique: true });
      asked.result.createObjectStore("things", { keyPath: "name" });
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      asked.result.onclose = () => (opened = null);
      resolve(asked.result);
    };
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("another page of an older version is open"));
  });
  opened.catch(() => (opened = null));
  return opened;
}

/**
 * Do something with a shelf in one transaction; what it returns counts once all of it is on disk.
 * @template T
 * @param {"entries" | "things"} shelf
 * @param {"readonly" | "readwrite"} mode
 * @param {(store: IDBObjectStore) => Promise<T> | T} work may wait for its own requests alone
 * @returns {Promise<T>}
 */
export async function within(shelf, mode, work) {
  try {
    const transaction = (await database()).transaction(shelf, mode, { durability: "strict" });
    const done = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error ?? new Error("given up"));
    });
    done.catch(() => undefined); // the error of the work itself tells more
    const result = await work(transaction.objectStore(shelf));
    await done;
    return result;
  } catch (problem) {
    throw new StorageRefused(`This browser keeps nothing: ${wordsOf(problem)}`, { cause: problem });
  }
}

/**
 * Wait for a request of a transaction.
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
export function result(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/**
 * Keep a thing by its name.
 * @param {string} name
 * @param {object} thing
 */
export function keepThing(name, thing) {
  return within("things", "readwrite", (store) => result(store.put({ name, thing })));
}

/**
 * Return a thing that was kept, or null.
 * @param {string} name
 * @returns {Promise<any>}
 */
export async function thing(name) {
  const found = await within("things", "readonly", (store) => result(store.get(name)));
  return found?.thing ?? null;
}

/**
 * Forget all things whose names begin so.
 * @param {string} before
 */
export function forgetThings(before) {
  const names = IDBKeyRange.bound(before, `${before}\uffff`);
  return within("things", "readwrite", (store) => result(store.delete(names)));
}

/** Tell all open pages of this browser that the outbox changed. */
export function tellOthers() {
  NEWS?.postMessage("changed");
}

/**
 * Be told when another page changed the outbox.
 * @param {() => void} listener
 */
export function whenOthersTell(listener) {
  NEWS?.addEventListener("message", listener);
}

/** @param {unknown} problem */
function wordsOf(problem) {
  if (!(problem instanceof Error || problem instanceof DOMException)) return "no reason given";
  if (problem.name === "QuotaExceededError") return "there is no room left";
  return problem.message || problem.name;
}
