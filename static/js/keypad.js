// A pad of large keys for the figure that is being typed, for gloved hands.
// Shown where the main pointer is coarse; the plain field works without it.
"use strict";

const KEYS = [
  "7", "8", "9", "/", "⌫",
  "4", "5", "6", ".", "mm",
  "1", "2", "3", "space", "in",
  "0", "½", "¼", "⅛", "hands",
  "done",
];
const SAID = { "⌫": "delete the last sign", "/": "fraction stroke", ".": "point", "space": "space" };

const type = (field, key) => {
  const text = field.value;
  if (key === "done") {
    field.blur();
    return;
  }
  if (key === "⌫") field.value = text.slice(0, -1);
  else if (key === "space") field.value = `${text} `;
  else if (key.length > 1) field.value = `${text.replace(/\s*(mm|in|hands)\s*$/, "")} ${key}`;
  else field.value = text + key;
  field.dispatchEvent(new Event("input", { bubbles: true }));
};

const pad = (form) => {
  const box = document.createElement("div");
  box.className = "pad";
  box.setAttribute("role", "group");
  box.setAttribute("aria-label", "Keys for the figure");
  for (const key of KEYS) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = key;
    if (key === "done") button.classList.add("done");
    if (key.length > 1) button.classList.add("word");
    if (SAID[key]) button.setAttribute("aria-label", SAID[key]);
    // The field keeps the focus, so that no keyboard slides up or down.
    button.addEventListener("pointerdown", (event) => event.preventDefault());
    button.addEventListener("click", () => box.field && type(box.field, key));
    box.append(button);
  }
  // Fixed at the foot of the screen, as a phone's own keyboard is: nothing on
  // the page moves under the thumb when it comes or goes.
  box.hidden = true;
  form.append(box);
  form.addEventListener("focusin", (event) => {
    const field = event.target;
    box.hidden = !field.matches("input.figure");
    if (box.hidden) return;
    box.field = field;
    field.scrollIntoView({ block: "center" });
  });
  form.addEventListener("focusout", (event) => {
    if (!event.relatedTarget) box.hidden = true;
  });
};

if (matchMedia("(pointer: coarse)").matches) {
  for (const form of document.querySelectorAll("form[data-keypad]")) {
    for (const field of form.querySelectorAll("input.figure")) field.inputMode = "none";
    pad(form);
  }
}
