// Steps to tick off, and their timers: what was ticked or begun is still so after a reload, on
// this device and for a day.

const DAY_MS = 86_400_000;

/** @param {string} name @returns {unknown} */
function recall(name) {
  try {
    const found = JSON.parse(localStorage.getItem(name) ?? "null");
    return found && Date.now() - found.at < DAY_MS ? found.value : null;
  } catch {
    return null; // a browser that keeps nothing
  }
}

/** @param {string} name @param {unknown} value */
function remember(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify({ at: Date.now(), value }));
  } catch {
    // then it holds for this page
  }
}

for (const list of document.querySelectorAll("[data-steps]")) {
  const name = `steps-${/** @type {HTMLElement} */ (list).dataset.steps}`;
  const boxes = /** @type {HTMLInputElement[]} */ ([...list.querySelectorAll("input[type=checkbox]")]);
  const ticked = recall(name);
  if (Array.isArray(ticked)) boxes.forEach((box, place) => (box.checked = ticked[place] === true));
  list.addEventListener("change", () => remember(name, boxes.map((box) => box.checked)));
}

/** A timer with a start; at its end it says so, and a phone that can, shakes. */
class StepTimer extends HTMLElement {
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #tick;
  #left = document.createElement("span");
  #button = document.createElement("button");

  connectedCallback() {
    this.dataset.drawn = "";
    this.#left.className = "left";
    this.#left.setAttribute("role", "timer");
    this.#button.type = "button";
    this.#button.addEventListener("click", () => (this.#end() ? this.#set(null) : this.#set(Date.now() + this.#whole())));
    this.replaceChildren(this.#button, this.#left);
    this.#run();
  }

  disconnectedCallback() {
    clearInterval(this.#tick);
  }

  #whole() {
    return Number(this.dataset.minutes) * 60_000;
  }

  #end() {
    return Number(recall(`timer-${this.dataset.name}`) ?? 0);
  }

  /** @param {number | null} end_ms */
  #set(end_ms) {
    remember(`timer-${this.dataset.name}`, end_ms);
    this.#run();
  }

  #run() {
    clearInterval(this.#tick);
    if (this.#end()) this.#tick = setInterval(() => this.#show(), 1000);
    this.#show();
  }

  #show() {
    const end_ms = this.#end();
    const left_s = Math.ceil((end_ms - Date.now()) / 1000);
    this.#button.textContent = end_ms ? "Stop the timer" : `Start ${this.dataset.minutes} min`;
    if (!end_ms) this.#left.textContent = "";
    else if (left_s > 0) this.#left.textContent = `${Math.floor(left_s / 60)}:${String(left_s % 60).padStart(2, "0")}`;
    else this.#over();
  }

  #over() {
    if (this.#left.textContent === "Time is up") return;
    this.#left.textContent = "Time is up";
    clearInterval(this.#tick);
    navigator.vibrate?.([400, 200, 400]);
  }
}

customElements.define("step-timer", StepTimer);
