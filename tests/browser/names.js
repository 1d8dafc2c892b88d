// Names as long as a form takes them, without a space to break at: no page scrolls sideways.

const LONG = "Hauptschluesselverwalterin".repeat(3);

async function made(page, base) {
  await page.goto(`${base}/cards/new?style=suv`);
  await page.fill('input[name="make"]', LONG);
  await page.fill('input[name="model"]', LONG);
  await page.fill('input[name="region"]', LONG);
  await page.click('form[action="/cards/new"] button.main');
  const card = page.url();
  await page.goto(`${card}/findings/new?span=b-pillar.left`);
  const kind = page.locator('input[name="kind"][value="pretensioner"]');
  await kind.evaluate((input) => input.click());
  for (const [name, value] of [["from", "80"], ["to", "210"], ["car", LONG], ["by", LONG]]) await page.fill(`input[name="${name}"]`, value);
  await page.fill('textarea[name="note"]', LONG);
  await page.click('button[value="save"]');
  await page.waitForURL(card);
  await page.goto(`${card}/notes/new?about=arrow&view=left&spot_a=900&spot_b=500&tail_a=400&tail_b=300`);
  await page.fill('input[name="label"]', LONG.slice(0, 24));
  await page.fill('textarea[name="text"]', LONG);
  await page.click("form.entry button.main");
  await page.waitForURL((url) => !url.pathname.endsWith("/new"));
  await page.goto(card);
  return card;
}

async function checkNames(browser, base, tally) {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const page = await context.newPage();
  const card = await made(page, base);
  tally.check((await page.textContent("#parts")).includes("pretensioner"), "the finding with long names was not saved");
  const below = ["", `?region=${LONG}`, "/findings", "/findings/f1", "/findings/f1/correct", "/findings/new", "/history", "/history/2", "/notes", "/notes/n1",
    "/spans/b-pillar.left", "/sketch/left", "/strip", "/measurements", "/edit", "/print"];
  for (const rest of below) {
    for (const width of [390, 1280]) {
      await page.setViewportSize({ width, height: 844 });
      await page.goto(card + rest);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      tally.check(wide <= 1, `long names: ${rest || "the card"} scrolls sideways by ${wide} px at ${width}`);
    }
  }
  await context.close();
}

module.exports = { checkNames };
