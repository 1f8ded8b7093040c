// <count-down data-at="UTC s">: how long there is, by the server's clock. Without this script the
// words of the server stand. With data-late, that stands before how long it is overdue.

const ahead_s = Number(document.body.dataset.now) - Date.now() / 1000;
const EVERY_MS = 10_000;

/** @param {number} duration_s */
export function until(duration_s) {
  const minutes = Math.round(Math.abs(duration_s) / 60);
  if (minutes < 1) return "now";
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  const parts = [];
  if (hours) parts.push(`${hours} h`);
  if (rest || !hours) parts.push(`${rest} min`);
  return `${duration_s > 0 ? "in" : "since"} ${parts.join(" ")}`;
}

class CountDown extends HTMLElement {
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #timer;

  connectedCallback() {
    this.#tell();
    this.#timer = setInterval(() => this.#tell(), EVERY_MS);
  }

  disconnectedCallback() {
    clearInterval(this.#timer);
  }

  #tell() {
    const told = until(Number(this.dataset.at) - Date.now() / 1000 - ahead_s);
    const words = told.startsWith("since") && this.dataset.late ? `${this.dataset.late} ${told}` : told;
    if (this.textContent !== words) this.textContent = words;
  }
}

customElements.define("count-down", CountDown);
