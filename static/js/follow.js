// The drawing follows what is typed: the page is asked for again in the
// background, and only its preview is taken over. The key does the same.
"use strict";

for (const form of document.querySelectorAll("form[data-follow]")) {
  const preview = document.querySelector(form.dataset.follow);
  let waiting = 0;
  let asked = 0;

  const follow = async () => {
    const mine = ++asked;
    const body = new URLSearchParams(new FormData(form));
    body.set("act", "preview");
    try {
      const answer = await fetch(form.action, { method: "POST", body });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.querySelector(form.dataset.follow);
      if (mine === asked && fresh) preview.replaceChildren(...fresh.childNodes);
    } catch { /* no signal: the key is still there */ }
  };

  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(follow, 500);
  });
}
