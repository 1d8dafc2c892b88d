// Asks again as one types. Without this script the form does the same on Enter.
const box = document.getElementById("q");
const below = document.getElementById("below");
const found = document.getElementById("found");
let timer, asking;

box.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(ask, 120);
});

async function ask() {
  asking?.abort();
  asking = new AbortController();
  const query = box.value.trim() ? `?q=${encodeURIComponent(box.value)}` : "";
  try {
    const answer = await fetch(`/find${query}`, { signal: asking.signal, headers: { "X-Part": "below" } });
    // Signed out meanwhile: the way back in leads here again.
    if (answer.redirected) return location.assign(`/${query}`);
    if (!answer.ok) return;
    below.innerHTML = await answer.text();
    history.replaceState(null, "", `/${query}`);
    found.textContent = below.querySelector("h2")?.textContent ?? "";
  } catch {
    // Asked again meanwhile, or no network: what is shown stays, Enter still works.
  }
}
