// A touch on the ruler's bar fills the stations: first from, then to. Figures
// are whole millimetres from the foot; they can be corrected in the fields.
"use strict";

// Where the bar stands in the ruler's drawing, of its width.
const FOOT = 12 / 360;
const HEAD = 348 / 360;

for (const ruler of document.querySelectorAll(".drawn.touch")) {
  const form = ruler.closest("form");
  const svg = ruler.querySelector("svg");
  const length = Number(ruler.dataset.lengthMm);
  if (!form || !svg || !(length > 0)) continue;
  document.querySelector("[data-touch-hint]")?.removeAttribute("hidden");
  let first = null;

  const put = (name, mm) => {
    form.elements[name].value = `${Math.round(mm)} mm`;
    form.elements[name].dispatchEvent(new Event("input", { bubbles: true }));
  };

  svg.addEventListener("click", (event) => {
    const box = svg.getBoundingClientRect();
    const share = ((event.clientX - box.left) / box.width - FOOT) / (HEAD - FOOT);
    const station = Math.min(1, Math.max(0, share)) * length;
    const foot = [...form.querySelectorAll("input[name=end]")].find((end) => end.value === "foot");
    if (foot) foot.checked = true;
    if (first === null) {
      first = station;
      put("from", station);
    } else {
      put("from", Math.min(first, station));
      put("to", Math.max(first, station));
      first = null;
    }
  });
}
