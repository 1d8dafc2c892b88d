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

// The browser knows its zone: a time on its clock is sent as the moment it names, and a
// moment is shown on its clock.
const moments = [...document.querySelectorAll('input[name^="iso-"][name$="-at"]')];
for (const hint of document.querySelectorAll(".clock-too")) hint.hidden = false;
for (const input of moments) {
  const at = new Date(input.value);
  if (!input.value.includes("T") || Number.isNaN(at.getTime())) continue;
  input.dataset.moment = input.value;
  input.value = `${at.getHours()}:${String(at.getMinutes()).padStart(2, "0")}`;
  input.dataset.shown = input.value;
}

function momentOf(input) {
  if (input.dataset.moment && input.value === input.dataset.shown) return input.dataset.moment;
  const clock = /^\s*(\d{1,2})[:.](\d{2})\s*$/.exec(input.value);
  if (!clock || clock[1] > 23 || clock[2] > 59) return input.value;
  const at = new Date();
  at.setHours(Number(clock[1]), Number(clock[2]), 0, 0);
  if (at.getTime() > Date.now()) at.setDate(at.getDate() - 1);
  return at.toISOString();
}

// What is sent changes, what stands in the form does not: going back shows it as typed.
for (const form of new Set(moments.map((input) => input.form))) {
  form?.addEventListener("formdata", (event) => {
    for (const input of moments) if (input.value) event.formData.set(input.name, momentOf(input));
  });
}
