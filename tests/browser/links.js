// A link made on a card's page: its QR code is read back off the screen, light and dark,
// on a phone and on a desk, and off the paper; what is read opens the card with no account,
// its notes, arrows and photos too, until the link is ended.

const { execFileSync } = require("node:child_process");
const path = require("node:path");
const axe = require("axe-core");

function readCode(picture) {
  const wanted = ["--nodbus", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", picture];
  return execFileSync("zbarimg", wanted, { encoding: "utf8" }).trim();
}

// A photo on the card's first note, as the browser itself encodes one.
async function addPhoto(browser, base, card) {
  const context = await browser.newContext({ viewport: { width: 1200, height: 800 } });
  const page = await context.newPage();
  await page.goto(`${base}/cards/${card}/notes/n1`);
  const buffer = await page.screenshot({ type: "jpeg" });
  await page.click("summary:has-text('Add a photo')");
  await page.setInputFiles('input[name="photo"]', { name: "a.jpg", mimeType: "image/jpeg", buffer });
  await page.fill('input[name="alt"]', "the clip of the trim");
  await page.click("button:has-text('Add the photo')");
  await context.close();
}

// What a phone without an account sees of it: whole, from below the link alone.
async function checkShown(page, link, tally, where) {
  const failed = [];
  page.on("response", (answer) => { if (!answer.ok()) failed.push(`${answer.status()} ${answer.url()}`); });
  const opened = await page.goto(link);
  tally.check(opened.status() === 200, `${where}: the link answers ${opened.status()}`);
  tally.check(opened.headers()["x-robots-tag"]?.includes("noindex"), `${where}: a search may list it`);
  const photos = await page.evaluate(async () => {
    const all = [...document.images];
    for (const one of all) {
      one.scrollIntoView();
      await one.decode();
    }
    return all.map((one) => ({ src: one.src, wide: one.naturalWidth }));
  });
  tally.check(photos.length > 0 && photos.every((p) => p.wide > 0 && p.src.startsWith(`${link}/photos/`)),
    `${where}: photos ${JSON.stringify(photos)}`);
  tally.check((await page.locator(".sheet-pictures").allTextContents()).join(" ").includes("harness"), `${where}: the arrow is not drawn`);
  tally.check(failed.length === 0, `${where}: ${failed.join(", ")}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  tally.check(wide <= 1, `${where}: the sheet scrolls sideways by ${wide} px`);
  await page.evaluate(axe.source);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  const wrong = found.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 2).map((n) => n.target).join(" | ")}`);
  tally.check(wrong.length === 0, `${where}: the sheet: ${wrong.join("; ")}`);
  return photos;
}

// Ended on the card's page, it shows neither the card nor a photo any more.
async function checkEnded(page, visitor, addresses, tally, where) {
  await page.goto(page.url());
  await page.click('button[value="end"]');
  for (const address of addresses) {
    const answer = await visitor.goto(address);
    tally.check(answer.status() === 404, `${where}: ended, ${address} answers ${answer.status()}`);
  }
}

async function makeLink(page, base, card) {
  await page.goto(`${base}/cards/${card}/sharing`);
  await page.fill('input[name="label"]', "Engine 4 of the next county");
  await page.selectOption('select[name="days"]', "7");
  await page.click('button[value="link"]');
  return page.textContent(".made code.link");
}

async function checkLinks(browser, base, tally, scratch) {
  const plain = await browser.newContext();
  const { cards } = await (await plain.request.get(`${base}/api/v1/cards?limit=1`)).json();
  await plain.close();
  await addPhoto(browser, base, cards[0].id);
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [390, 1280]) {
      const context = await browser.newContext({ colorScheme, viewport: { width, height: 844 } });
      const page = await context.newPage();
      const link = await makeLink(page, base, cards[0].id);
      const where = `link ${colorScheme} ${width}`;
      const picture = path.join(scratch, `${colorScheme}-${width}.png`);
      await page.screenshot({ path: picture, fullPage: true });
      tally.check(readCode(picture) === link, `${where}: the code on the page reads otherwise`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      tally.check(wide <= 1, `${where}: scrolls sideways by ${wide} px`);
      for (const format of ["A4", "Letter"]) {
        const file = path.join(scratch, `link-${colorScheme}-${width}-${format}`);
        await page.pdf({ path: `${file}.pdf`, format, printBackground: false });
        execFileSync("pdftoppm", ["-r", "100", "-png", "-singlefile", `${file}.pdf`, file]);
        tally.check(readCode(`${file}.png`) === link, `${where}: the code on ${format} reads otherwise`);
        const text = execFileSync("pdftotext", [`${file}.pdf`, "-"], { encoding: "utf8" });
        const pages = execFileSync("pdfinfo", [`${file}.pdf`], { encoding: "utf8" });
        tally.check(/^Pages:\s+1$/m.test(pages), `${where}: more than one ${format}`);
        tally.check(text.includes("Expose and look before every cut") && !text.includes("Make a link"),
          `${where}: the paper says too little or too much`);
      }
      const visitor = await browser.newContext({ colorScheme, viewport: { width: 390, height: 844 }, bypassCSP: true });
      const phone = await visitor.newPage();
      const photos = await checkShown(phone, link, tally, where);
      await checkEnded(page, phone, [link, ...photos.map((photo) => photo.src)], tally, where);
      await visitor.close();
      await context.close();
    }
  }
}

module.exports = { checkLinks };
