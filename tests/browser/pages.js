// Every page that can be reached by links from the first one: axe finds nothing in both
// colour schemes at 390 and 1280 px, nothing is logged or fetched from elsewhere, nothing
// scrolls sideways, and each page says the same without JavaScript.

const axe = require("axe-core");

const SCHEMES = ["light", "dark"];
const WIDTHS = [390, 1280];
// Pages of one kind look alike: so many of each are enough.
const OF_A_KIND = 2;

// A plan with its steps, and one that is asked again.
const OPEN = "seat=front-left&care=gentle&hand=yes&open=side-removal.left&look=b-pillar.left:380:520:bare";
const REFUSED = "seat=front-left&care=rough&iso-hv=no&iso-hv-at=25:00&off=left";

// The shape of an address: ids and names of spans, views and revisions left out.
function kind(address) {
  const url = new URL(address);
  return url.pathname
    .replace(/^\/(cards|body-styles)\/(?!new)[^/]+/, "/$1/-")
    .replace(/\/(spans|sketch|history|findings|notes)\/(?!new)[^/]+/, "/$1/-") +
    (url.search ? "?" + [...url.searchParams.keys()].join("&") : "");
}

async function links(page) {
  // Links inside drawings have no plain href.
  return page.$$eval("a[href]", (all) =>
    all.map((a) => new URL(a.getAttribute("href"), document.baseURI).href.split("#")[0]));
}

async function crawl(browser, base) {
  const context = await browser.newContext({ javaScriptEnabled: false });
  const page = await context.newPage();
  const first = await (await context.request.get(`${base}/api/v1/cards?limit=2`)).json();
  const cards = first.cards.map((c) => `${base}/cards/${c.id}`);
  const waiting = [`${base}/`, `${base}/cards/new`, `${base}/import`, `${base}/audit`, `${base}/department/deletion`, `${base}/partners`, `${base}/sign-in`, `${base}/account`, `${base}/no-such-page`, `${base}/cards/no-such-card`];
  for (const card of cards) {
    waiting.push(card, ...["edit", "measurements", "strip", "import", "findings/new", "history", "print", "plan", "sharing"].map((p) => `${card}/${p}`));
    waiting.push(`${card}/plan?${OPEN}`, `${card}/plan?${REFUSED}`);
    waiting.push(`${card}?year=2031&drive=diesel`, `${card}/findings/new?span=rocker.left&where=beside`);
  }
  const counts = new Map();
  const seen = new Map();
  while (waiting.length) {
    const address = waiting.shift();
    const n = counts.get(kind(address)) ?? 0;
    if (seen.has(address) || n >= OF_A_KIND || !address.startsWith(base) || address.includes("/api/")) continue;
    const answer = await page.goto(address).catch(() => null);
    if (!answer || !(answer.headers()["content-type"] ?? "").startsWith("text/html")) continue;
    counts.set(kind(address), n + 1);
    seen.set(address, { status: answer.status(), heading: await page.textContent("h1").catch(() => null) });
    waiting.push(...(await links(page)));
  }
  await context.close();
  return seen;
}

// Looks at an address, or, without one, at the page as it stands.
async function look(page, address, base, tally, where) {
  const wrong = [];
  const note = (message) => {
    // The browser logs an address that answers 404; the page itself is looked at.
    if (message.type() === "error" && !/status of 4\d\d/.test(message.text())) wrong.push(message.text());
  };
  const request = (r) => {
    if (!r.url().startsWith(base) && !r.url().startsWith("data:")) wrong.push(`fetches ${r.url()}`);
  };
  const crash = (error) => wrong.push(`script: ${error.message}`);
  page.on("console", note).on("request", request).on("pageerror", crash);
  if (address) await page.goto(address);
  // What is folded away is looked at as well.
  await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
  await page.evaluate(axe.source);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  for (const v of found.violations) wrong.push(`axe ${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target).join(" | ")}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  if (wide > 1) wrong.push(`scrolls sideways by ${wide} px`);
  const body = await page.evaluate(() => [document.body.offsetWidth, document.documentElement.clientWidth]);
  if (body[1] - body[0] > 20) wrong.push(`uses ${body[0]} of ${body[1]} px`);
  page.off("console", note).off("request", request).off("pageerror", crash);
  tally.check(wrong.length === 0, `${where}: ${wrong.join("; ")}`);
}

async function checkPages(browser, base, tally) {
  const pages = await crawl(browser, base);
  console.log(`pages: ${pages.size} of ${new Set([...pages.keys()].map(kind)).size} kinds`);
  for (const [address, { status, heading }] of pages) {
    const missing = address.includes("no-such");
    const expected = missing ? 404 : address.includes(REFUSED) ? 422 : 200;
    tally.check(status === expected, `${address} answers ${status}`);
    tally.check(Boolean(heading && heading.trim()), `${address} has no heading without JavaScript`);
  }
  for (const colorScheme of SCHEMES) {
    for (const width of WIDTHS) {
      // Scripts of the check itself are kept out by the pages' policy, unless let through.
      const context = await browser.newContext({ colorScheme, viewport: { width, height: 844 }, bypassCSP: true });
      const page = await context.newPage();
      for (const address of pages.keys()) {
        await look(page, address, base, tally, `${address.slice(base.length)} ${colorScheme} ${width}`);
      }
      await context.close();
    }
  }
}

module.exports = { checkPages, look };
