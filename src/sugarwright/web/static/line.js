// Whether there is a line to the server. Only a request tells: `navigator.onLine` knows of some
// network, not of the computer in the kitchen.

const PATIENCE_MS = 8000;

/** @typedef {"unknown" | "there" | "none" | "log in"} Line */

/** @type {Line} */
let state = "unknown";
/** @type {Set<(state: Line) => void>} */
const listeners = new Set();

/** No answer came, or none that a server of ours gives. */
export class NoLine extends Error {}

/** The server wants the passphrase (again). */
export class LogIn extends Error {}

/** What was found out last. */
export function line() {
  return state;
}

/** Be told when that changes. @param {(state: Line) => void} listener */
export function onLine(listener) {
  listeners.add(listener);
}

/** @param {Line} found */
function found(found) {
  if (found === state) return;
  state = found;
  listeners.forEach((listener) => listener(found));
}

/**
 * Ask the server something, and find out whether there is a line.
 * @param {string} address
 * @param {RequestInit} [options]
 * @param {number} [patienceMs]
 * @returns {Promise<Response>} any answer below 500 but 401 and 403
 * @throws {NoLine | LogIn}
 */
export async function ask(address, options = {}, patienceMs = PATIENCE_MS) {
  const response = await answer(address, options, patienceMs);
  if (response.status >= 500) {
    found("none");
    throw new NoLine(`the server answers ${response.status}`);
  }
  if (response.status === 401 || response.status === 403 || response.redirected) {
    found("log in");
    throw new LogIn("Log in again.");
  }
  found("there");
  return response;
}

/**
 * @param {string} address
 * @param {RequestInit} options
 * @param {number} patienceMs
 */
async function answer(address, options, patienceMs) {
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), patienceMs);
  try {
    const response = await fetch(address, {
      cache: "no-store",
      credentials: "same-origin",
      ...options,
      signal: giveUp.signal,
    });
    // The line may break in the middle of an answer: it counts when all of it is here.
    const body = await response.arrayBuffer();
    return Object.defineProperties(new Response(emptyIfNone(response, body), response), {
      redirected: { value: response.redirected },
    });
  } catch (problem) {
    found("none");
    throw new NoLine("no line to the server", { cause: problem });
  } finally {
    clearTimeout(timer);
  }
}

/**
 * @param {Response} response
 * @param {ArrayBuffer} body
 */
function emptyIfNone(response, body) {
  return [204, 205, 304].includes(response.status) ? null : body;
}
