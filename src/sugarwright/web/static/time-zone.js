// The time zone of this device stands in its field, to be corrected; asked of nobody else.
for (const field of document.querySelectorAll("input[data-zone]")) {
  const zone = /** @type {HTMLInputElement} */ (field);
  zone.value ||= Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";
}
