// <stay-awake>: a switch that keeps the screen on while its page is open. Browsers allow that over
// HTTPS or on the computer itself; elsewhere it says so.

const WORDS = { off: "Keep the screen on", on: "Screen stays on: let it sleep" };

class StayAwake extends HTMLElement {
  /** @type {WakeLockSentinel | null} */
  #lock = null;
  #wanted = false;
  #again = () => void (this.#wanted && !document.hidden && this.#take());

  connectedCallback() {
    if (this.childElementCount) return;
    this.dataset.drawn = "";
    if (!("wakeLock" in navigator)) {
      const words = isSecureContext
        ? "This browser cannot keep the screen on."
        : "Keeping the screen on needs HTTPS: see More.";
      this.append(Object.assign(document.createElement("p"), { className: "soft", textContent: words }));
      return;
    }
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: WORDS.off });
    button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", () => this.#turn(button));
    document.addEventListener("visibilitychange", this.#again);
    this.append(button);
  }

  disconnectedCallback() {
    document.removeEventListener("visibilitychange", this.#again);
    this.#wanted = false;
    void this.#lock?.release();
  }

  /** @param {HTMLButtonElement} button */
  async #turn(button) {
    this.#wanted = !this.#wanted;
    if (this.#wanted) await this.#take();
    else await this.#lock?.release();
    button.setAttribute("aria-pressed", String(this.#wanted));
    button.textContent = this.#wanted ? WORDS.on : WORDS.off;
  }

  async #take() {
    try {
      this.#lock = await navigator.wakeLock.request("screen");
    } catch {
      this.#wanted = false; // a low battery may forbid it
    }
  }
}

customElements.define("stay-awake", StayAwake);
