// The frame that stands for a page which did not come: shows it as this phone kept it.

import { age, listKept, showKept } from "./show-kept.js";

async function begin() {
  if (await showKept(location.pathname)) return;
  const found = await listKept();
  const list = document.getElementById("kept");
  list?.replaceChildren(
    ...found.map(({ path, kept }) => {
      const row = document.createElement("li");
      const link = document.createElement("a");
      link.href = path;
      link.className = "choice";
      link.textContent = `${kept?.title.split(" - ")[0]}, ${age(Date.now() - (kept?.at_ms ?? 0))} old`;
      row.append(link);
      return row;
    }),
  );
}

document.getElementById("again")?.addEventListener("click", () => location.reload());
await begin();
