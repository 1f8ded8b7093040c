// The button that shows the passphrase as it is typed; without this script there is none.

const field = document.getElementById("passphrase");
const button = document.getElementById("show");

if (field instanceof HTMLInputElement && button instanceof HTMLButtonElement) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const shown = field.type === "password";
    field.type = shown ? "text" : "password";
    button.setAttribute("aria-pressed", String(shown));
    field.focus();
  });
  // A phone must not learn the passphrase as a word.
  field.form?.addEventListener("submit", () => {
    field.type = "password";
  });
}
