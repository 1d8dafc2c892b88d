// Keeps what is half typed in this browser until it has been sent, so that a
// reload or a closed page loses nothing. The page works the same without it.
"use strict";

for (const form of document.querySelectorAll("form[data-keep]")) {
  const place = `pillarbook:${location.pathname}:${form.dataset.keep}`;
  const shownAgain = document.querySelector(".errors") !== null;
  const answered = (field) => field.name && field.type !== "hidden" && field.type !== "submit";
  const fields = () => [...form.elements].filter(answered);
  const marked = (field) => field.type === "radio" || field.type === "checkbox";

  const keep = () => {
    const kept = fields()
      .filter((field) => !marked(field) || field.checked)
      .map((field) => [field.name, field.value]);
    try {
      sessionStorage.setItem(place, JSON.stringify({ kept, sent: false }));
    } catch { /* full or switched off: the browser's own memory has to do */ }
  };

  const restore = () => {
    const found = JSON.parse(sessionStorage.getItem(place) ?? "null");
    if (!found || found.sent || shownAgain) {
      sessionStorage.removeItem(place);
      return;
    }
    for (const [name, value] of found.kept) {
      for (const field of fields().filter((f) => f.name === name)) {
        if (marked(field)) field.checked = field.value === value;
        else field.value = value;
        const inside = field.closest("details");
        if (inside && value !== "" && !marked(field)) inside.open = true;
      }
    }
  };

  try { restore(); } catch { sessionStorage.removeItem(place); }
  form.addEventListener("input", keep);
  form.addEventListener("submit", () => {
    try {
      const found = JSON.parse(sessionStorage.getItem(place) ?? "null");
      if (found) sessionStorage.setItem(place, JSON.stringify({ ...found, sent: true }));
    } catch { /* as above */ }
  });
}
