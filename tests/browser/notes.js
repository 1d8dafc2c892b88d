// A note on a card as a member at a yard writes it, without scripts: a place touched on
// the picture, a photo sent along, a reply, and the note on the drawing and in print.

const axe = require("axe-core");

// A picture of one colour as the browser itself encodes it.
async function photo(browser) {
  const context = await browser.newContext({ viewport: { width: 400, height: 300 } });
  const page = await context.newPage();
  const buffer = await page.screenshot({ type: "jpeg" });
  await context.close();
  return { name: "IMG_0001.jpg", mimeType: "image/jpeg", buffer };
}

async function write(page, base, card, file, tally) {
  await page.goto(`${base}/cards/${card}`);
  await page.click("nav a:has-text('Notes')");
  await page.click("a:has-text('Write a note')");
  await page.click("a:has-text('A place on the car')");
  await page.click('input[type="image"]', { position: { x: 160, y: 120 } });
  const [a, b] = await Promise.all(["spot_a", "spot_b"].map((name) => page.inputValue(`input[name="${name}"]`)));
  tally.check(/^-?\d+ mm$/.test(a) && /^-?\d+ mm$/.test(b), `a touch on the picture gave ${a}, ${b}`);
  await page.fill('textarea[name="text"]', "Seen behind the trim");
  await page.setInputFiles('input[name="photo"]', file);
  await page.click("button.main");
  tally.check((await page.textContent(".errors")).includes("What the photo shows"), "a photo without words was taken");
  tally.check((await page.inputValue('textarea[name="text"]')) === "Seen behind the trim", "what was typed is lost");
  await page.setInputFiles('input[name="photo"]', file);
  await page.fill('input[name="alt"]', "nothing, all white");
  await page.click("button.main");
  tally.check(/\/notes\/n\d+$/.test(page.url()), `the note was not saved: ${page.url()}`);
  return page.url();
}

async function checkNotes(browser, base, tally) {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, javaScriptEnabled: false });
  const page = await context.newPage();
  const { cards } = await (await context.request.get(`${base}/api/v1/cards?limit=3`)).json();
  const card = cards[2].id;
  const note = await write(page, base, card, await photo(browser), tally);
  const shown = page.locator('img[alt="nothing, all white"]');
  tally.check((await shown.count()) === 1, "the photo is not shown");
  const small = await context.request.get(new URL(await shown.getAttribute("src"), base).href);
  tally.check(small.ok() && small.headers()["content-type"] === "image/jpeg", `the photo answers ${small.status()}`);
  await page.fill('textarea[name="text"]', "On ours as well");
  await page.click("button:has-text('Save the reply')");
  tally.check((await page.textContent(".replies")).includes("On ours as well"), "the reply is not shown");
  const id = note.split("/").pop();
  for (const [rest, what] of [["/sketch/left", "the drawing"], ["/print", "paper"]]) {
    await page.goto(`${base}/cards/${card}${rest}`);
    tally.check((await page.textContent("main")).includes("Seen behind the trim"), `${id} is not on ${what}`);
    await page.goto(`${base}/cards/${card}${rest}?notes=hide`);
    tally.check(!(await page.textContent("main")).includes("Seen behind the trim"), `${id} is not hidden on ${what}`);
  }
  await context.close();
  await looks(browser, base, card, note, tally);
}

async function looks(browser, base, card, note, tally) {
  const new_ = `${base}/cards/${card}/notes/new`;
  const pages = [`${base}/cards/${card}/notes`, note, new_, `${new_}?about=station`, `${new_}?about=place&view=top`,
    `${new_}?about=arrow&view=left&spot_a=900&spot_b=500`, `${new_}?about=finding`, `${base}/cards/${card}/sketch/left`];
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [390, 1280]) {
      const context = await browser.newContext({ colorScheme, viewport: { width, height: 844 }, bypassCSP: true });
      const page = await context.newPage();
      for (const address of pages) {
        await page.goto(address);
        await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
        await page.evaluate(axe.source);
        const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
        const wrong = found.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 2).map((n) => n.target).join(" | ")}`);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        if (wide > 1) wrong.push(`scrolls sideways by ${wide} px`);
        tally.check(wrong.length === 0, `${address.slice(base.length)} ${colorScheme} ${width}: ${wrong.join("; ")}`);
      }
      await context.close();
    }
  }
}

module.exports = { checkNotes };
