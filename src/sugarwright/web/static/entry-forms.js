// Quick entry: the number pad, and the words that a form's number makes with its unit.
// Without this script the forms work by the keyboard.

const KEYS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "del"];

/** A grid of large keys that type into the number field of its form. */
class NumberPad extends HTMLElement {
  connectedCallback() {
    if (this.childElementCount) return;
    const field = this.closest("form")?.elements.namedItem("number");
    if (!(field instanceof HTMLInputElement)) return;
    field.inputMode = "none"; // the pad stands in for the phone's keyboard
    this.className = "pad";
    this.dataset.drawn = "";
    for (const key of KEYS) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = key;
      if (key === "del") button.setAttribute("aria-label", "Delete the last digit");
      button.addEventListener("click", () => press(field, key));
      this.append(button);
    }
  }
}

/**
 * @param {HTMLInputElement} field
 * @param {string} key
 */
function press(field, key) {
  const text = field.value;
  if (key === "del") field.value = text.slice(0, -1);
  else if (key !== "." || !text.includes(".")) field.value = text + key;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/**
 * Put together what a quick form says, as an entry's text: its words, then each number behind
 * words of its own.
 * @param {HTMLFormElement} form
 */
function compose(form) {
  const data = new FormData(form);
  const all = (/** @type {string} */ name) => data.getAll(name).map((each) => String(each).trim());
  const [before, units] = [all("before"), all("unit")];
  const numbers = all("number").map((number, place) => [number && before[place], number, number && units[place]]);
  const text = form.elements.namedItem("text");
  const parts = [String(data.get("words") ?? ""), ...numbers.flat()];
  if (text instanceof HTMLInputElement) text.value = parts.filter(Boolean).join(" ");
}

customElements.define("number-pad", NumberPad);
// For the whole page, as forms may come into it later; before anybody else reads what they say.
document.addEventListener(
  "submit",
  ({ target }) => target instanceof HTMLFormElement && "quick" in target.dataset && compose(target),
  true,
);

// What was opened comes to the top, so that pad and "Keep" are under the thumb: on a low screen
// "Keep" comes first.
document.addEventListener("click", ({ target }) => {
  const ask = target instanceof Element ? target.closest("summary")?.parentElement : null;
  if (!(ask instanceof HTMLDetailsElement) || !ask.matches(".ask")) return;
  const shown = () => {
    if (!ask.open) return;
    ask.scrollIntoView();
    ask.querySelector(".keep")?.scrollIntoView({ block: "nearest" });
  };
  ask.addEventListener("toggle", shown, { once: true });
});
