// One card is one sheet of paper, A4 and Letter.

const { execFileSync } = require("node:child_process");
const path = require("node:path");

async function checkPrint(browser, base, tally, scratch) {
  const context = await browser.newContext();
  const page = await context.newPage();
  const { cards } = await (await context.request.get(`${base}/api/v1/cards?limit=100`)).json();
  for (const card of cards) {
    await page.goto(`${base}/cards/${card.id}/print`);
    for (const format of ["A4", "Letter"]) {
      const file = path.join(scratch, `${format}.pdf`);
      await page.pdf({ path: file, format, printBackground: false, preferCSSPageSize: false });
      const info = execFileSync("pdfinfo", [file], { encoding: "utf8" });
      const sheets = Number(/^Pages:\s+(\d+)/m.exec(info)[1]);
      tally.check(sheets === 1, `${card.make} ${card.model} prints on ${sheets} sheets of ${format}`);
    }
  }
  await context.close();
}

module.exports = { checkPrint };
