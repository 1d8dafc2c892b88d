// A strip session of five parts, as a member at a yard takes it, through the browser: the
// no-cut stretches grow on the page, on its ruler, in the answer and in the picture.

const PARTS = [
  { from: "60", to: "180", kind: "pretensioner" },
  { from: "300", to: "360", kind: "crash-sensor" },
  { from: "420", to: "470", kind: "crash-sensor" },
  { from: "520", to: "560", kind: "inflator" },
  { from: "610", to: "640", kind: "gas-cylinder" },
];
const SPAN = "b-pillar.left";

async function noCut(context, base, card) {
  const zones = await (await context.request.get(`${base}/api/v1/cards/${card}/zones`)).json();
  const span = zones.spans.find((s) => s.id === SPAN);
  const closed = span.stretches.filter((s) => s.class === "no-cut");
  return closed.reduce((sum, s) => sum + s.to_mm - s.from_mm, 0);
}

async function picture(context, base, card) {
  const answer = await context.request.get(`${base}/api/v1/cards/${card}/sketch.png?view=frame-left`);
  return answer.ok() ? (await answer.body()).toString("base64") : null;
}

async function newCard(page, base) {
  await page.goto(`${base}/cards/new?style=sedan`);
  await page.fill('input[name="make"]', "Invented");
  await page.fill('input[name="model"]', "Five parts");
  await page.click('form[action="/cards/new"] button.main');
  const address = /\/cards\/([^/?#]+)/.exec(page.url());
  if (!address || address[1] === "new") throw new Error(`no card was made, still at ${page.url()}`);
  return address[1];
}

// Keys are labels over radio buttons; their groups may be folded away.
async function key(page, name, value) {
  await page.locator(`input[name="${name}"][value="${value}"]`).evaluate((input) => {
    for (let at = input.parentElement; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
    input.click();
  });
}

async function checkSession(browser, base, tally) {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const page = await context.newPage();
  const card = await newCard(page, base);
  const before = { mm: await noCut(context, base, card), png: await picture(context, base, card) };
  await page.goto(`${base}/cards/${card}/strip`);
  await page.fill('input[name="car"]', "yard 21");
  await page.fill('input[name="by"]', "a member");
  await page.selectOption('select[name="source"]', "measured");
  await page.click('button[value="begin"]');
  for (const [n, part] of PARTS.entries()) {
    await page.selectOption('select[name="span"]', SPAN);
    await page.fill('input[name="from"]', part.from);
    await page.fill('input[name="to"]', part.to);
    await key(page, "kind", part.kind);
    await page.click('button[value="add"]');
    const entered = await page.textContent("#entered-heading");
    tally.check(entered.includes(`${n + 1}`), `part ${n + 1} is not among the entered: ${await page.textContent("main")}`.slice(0, 600));
  }
  tally.check((await noCut(context, base, card)) === before.mm, "the card changed before saving");
  tally.check((await page.locator("main svg").count()) > 0, "no ruler is drawn before saving");
  await page.reload();
  tally.check((await page.textContent("#entered-heading")).includes("5"), "a reload lost what was entered");
  await page.click('button[value="save"]');
  const after = { mm: await noCut(context, base, card), png: await picture(context, base, card) };
  tally.check(after.mm > before.mm + 100, `no-cut on ${SPAN}: ${before.mm} mm before, ${after.mm} mm after`);
  tally.check(before.png && after.png && before.png !== after.png, "the picture did not change");
  await page.goto(`${base}/cards/${card}`);
  const text = await page.textContent("main");
  tally.check(/no.?cut/i.test(text), "the card's page names no no-cut stretch");
  tally.check((await page.locator("main svg").count()) > 0, "the card's page draws no ruler");
  await context.close();
}

module.exports = { checkSession };
