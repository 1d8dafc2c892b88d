// Opens the fold that belongs to the kind that is picked. Without this script
// the folds that do not belong to it are hidden all the same.
"use strict";

for (const form of document.querySelectorAll("form:has([data-asks])")) {
  form.addEventListener("change", (event) => {
    if (event.target.name !== "kind") return;
    const asked = event.target.dataset.asks.split(" ");
    for (const fold of form.querySelectorAll("details[data-ask]")) {
      if (asked.includes(fold.dataset.ask)) fold.open = true;
    }
  });
}
