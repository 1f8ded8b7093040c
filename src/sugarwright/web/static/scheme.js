// Light or dark: as the device says, or as was picked on this device. Runs before the page is drawn.
"use strict";
(() => {
  const NAME = "scheme";
  const picked = () => {
    try {
      return localStorage.getItem(NAME) ?? "";
    } catch {
      return ""; // a browser that keeps nothing
    }
  };
  const show = (/** @type {string} */ scheme) => {
    if (scheme) document.documentElement.dataset.scheme = scheme;
    else delete document.documentElement.dataset.scheme;
  };
  show(picked());
  document.addEventListener("DOMContentLoaded", () => {
    const choice = document.querySelector(`#scheme input[value="${picked()}"]`);
    if (choice instanceof HTMLInputElement) choice.checked = true;
  });
  document.addEventListener("change", (event) => {
    const input = event.target;
    if (!(input instanceof HTMLInputElement) || input.name !== "scheme") return;
    show(input.value);
    try {
      localStorage.setItem(NAME, input.value);
    } catch {
      // then it holds for this page
    }
    document.dispatchEvent(new CustomEvent("scheme"));
  });
})();
