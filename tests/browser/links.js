// A link made on a card's page: its QR code is read back off the screen, light and dark,
// on a phone and on a desk, and off the paper; what is read opens the card with no account.

const { execFileSync } = require("node:child_process");
const path = require("node:path");

function readCode(picture) {
  const wanted = ["--nodbus", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", picture];
  return execFileSync("zbarimg", wanted, { encoding: "utf8" }).trim();
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
      const visitor = await browser.newContext({ viewport: { width: 390, height: 844 } });
      const opened = await (await visitor.newPage()).goto(link);
      tally.check(opened.status() === 200, `${where}: the link answers ${opened.status()}`);
      await visitor.close();
      await context.close();
    }
  }
}

module.exports = { checkLinks };
