// A plan that is open on a phone: the count since the last isolation runs on,
// and what was unfolded stays so when the page is made anew. The page works the
// same without it.
"use strict";

// Counts up from what the page was made with. It never says that it is over.
for (const count of document.querySelectorAll("[data-count]")) {
  const began = Date.now() - 1000 * Number(count.dataset.count);
  setInterval(() => {
    const seconds = Math.floor((Date.now() - began) / 1000);
    count.textContent = `${Math.floor(seconds / 60)} min ${String(seconds % 60).padStart(2, "0")} s`;
  }, 1000);
}

// The step that was worked on stays in sight, also where a button leads back here.
const place = `pillarbook:plan:${location.pathname}`;
try {
  const was = sessionStorage.getItem(place);
  const step = was && document.getElementById(was);
  if (step && !location.hash) step.scrollIntoView();
  document.addEventListener("click", (event) => {
    const at = event.target.closest(".step");
    if (at) sessionStorage.setItem(place, at.id);
    else if (event.target.closest(".openings")) sessionStorage.removeItem(place);
  });
} catch { /* switched off: the address's own mark has to do */ }

// A touch on a seat or a care moves on to what is asked next.
for (const radio of document.querySelectorAll(".seats input, .cares input")) {
  radio.addEventListener("click", () => {
    const next = radio.name === "seat" ? document.querySelector(".cares") : document.querySelector(".go");
    if (matchMedia("(max-width: 699px)").matches) next?.scrollIntoView({ block: "center" });
  });
}
