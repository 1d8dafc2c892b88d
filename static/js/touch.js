// A touch on a drawing becomes a station: on a ruler it fills the fields of the
// form, on a view of the car it offers a finding on the nearest span. Drawings
// carry where their spans run; figures are whole millimetres from the foot and
// can be corrected.
"use strict";

// Farther than this from every span nothing is meant, in pixels: a gloved thumb.
const REACH = 40;

// Each span as points of the drawing with their stations.
const axesOf = (svg) => [...svg.querySelectorAll("path[data-span]")].map((path) => {
  const figures = path.getAttribute("d").match(/-?[\d.]+/g).map(Number);
  const stations = path.dataset.mm.split(" ").map(Number);
  const points = stations.map((mm, i) => ({ mm, x: figures[2 * i], y: figures[2 * i + 1] }));
  return { span: path.dataset.span, name: path.dataset.name, points };
});

// The station of one straight piece nearest to a point, and how far that is.
const onPiece = (a, b, at) => {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const long = dx * dx + dy * dy;
  const u = long > 0 ? Math.min(1, Math.max(0, ((at.x - a.x) * dx + (at.y - a.y) * dy) / long)) : 0;
  return { mm: a.mm + u * (b.mm - a.mm), away: Math.hypot(a.x + u * dx - at.x, a.y + u * dy - at.y) };
};

const nearest = (svg, event) => {
  const toDrawing = svg.getScreenCTM().inverse();
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(toDrawing);
  let best = { away: Infinity };
  for (const { span, name, points } of axesOf(svg)) {
    for (let i = 1; i < points.length; i += 1) {
      const found = onPiece(points[i - 1], points[i], at);
      if (found.away < best.away) best = { span, name, ...found };
    }
  }
  return { ...best, away: best.away / toDrawing.a };
};

const hint = () => document.querySelector("[data-touch-hint]")?.removeAttribute("hidden");

for (const ruler of document.querySelectorAll(".drawn.touch")) {
  const form = ruler.closest("form");
  const svg = ruler.querySelector("svg");
  if (!form || !svg || axesOf(svg).length === 0) continue;
  hint();
  let first = null;

  const put = (name, mm) => {
    form.elements[name].value = `${Math.round(mm)} mm`;
    form.elements[name].dispatchEvent(new Event("input", { bubbles: true }));
  };

  svg.addEventListener("click", (event) => {
    const station = nearest(svg, event).mm;
    const foot = [...form.querySelectorAll("input[name=end]")].find((end) => end.value === "foot");
    if (foot) foot.checked = true;
    const beside = form.querySelector("input[name=where][value=beside]")?.checked;
    const [from, to] = beside ? ["one_at", "two_at"] : ["from", "to"];
    if (first === null) {
      first = station;
      put(from, station);
    } else {
      put(from, beside ? first : Math.min(first, station));
      put(to, beside ? station : Math.max(first, station));
      first = null;
    }
  });
}

for (const view of document.querySelectorAll("[data-touch-view]")) {
  const svg = view.querySelector("svg");
  const touched = document.getElementById("touched");
  if (!svg || !touched || axesOf(svg).length === 0) continue;
  hint();
  const way = touched.querySelector("a");
  const address = new URL(way.href);

  svg.addEventListener("click", (event) => {
    if (event.target.closest("a")) return;
    const found = nearest(svg, event);
    touched.hidden = false;
    const near = found.away <= REACH;
    way.hidden = !near;
    const station = Math.round(found.mm);
    touched.querySelector("p").textContent = near
      ? `${found.name}: ${station} mm from its foot. Is it there?`
      : "No pillar, rail or sill is near there: touch closer to one, or take it from the list.";
    address.search = new URLSearchParams({ span: found.span, from: `${station} mm` });
    way.href = address.href;
    touched.scrollIntoView({ block: "nearest" });
  });
}
