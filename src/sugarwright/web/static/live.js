// News from the server: the body hears "changed" whenever the server's content is another than
// what this page shows, and elements with hx-trigger="changed from:body" fetch themselves anew.

const shown = () => Number(document.body.dataset.revision);
const QUIET_MS = 400; // several changes in a row are one

/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/** @param {MessageEvent<string>} event */
function hear(event) {
  const revision = Number(event.data);
  if (revision === shown()) return;
  clearTimeout(timer);
  timer = setTimeout(() => {
    document.body.dataset.revision = String(revision);
    document.body.dispatchEvent(new CustomEvent("changed", { detail: { revision } }));
  }, QUIET_MS);
}

/** @type {EventSource | undefined} */
let source;

function listen() {
  if (source && source.readyState !== EventSource.CLOSED) return;
  source = new EventSource("/events");
  source.addEventListener("changed", hear);
  source.addEventListener("open", () => line(""));
  source.addEventListener("error", () => line("No line to the computer: this is what it said last."));
}

/** @param {string} words */
function line(words) {
  const place = document.getElementById("line");
  if (place && place.textContent !== words) place.textContent = words;
}

listen();
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) listen(); // phones drop connections of pages that nobody looks at
});
