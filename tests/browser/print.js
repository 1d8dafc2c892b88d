// One card is one sheet of paper, and so is one opening of a plan, A4 and Letter, on one
// side or both, with arrows and photos of its notes on further sides that say how many
// they are; no word on it is smaller than 8 pt. A card's hatches are lines, not
// pictures of them.

const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");

// The fullest card, another of the same steps, and two of fewer.
const PLANNED = ["Marram", "Thrift", "Cobb", "Drover"];
const LEAST_PX = (8 / 72) * 96;

// Words of the page that would be printed smaller, drawings left out.
const tooSmall = (least) => [...document.querySelectorAll("main *")]
  .filter((e) => !e.closest("svg, .no-print") && [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()))
  .filter((e) => parseFloat(getComputedStyle(e).fontSize) < least - 0.01)
  .map((e) => e.textContent.trim().slice(0, 40));

async function sides(page, file, format) {
  await page.pdf({ path: file, format, printBackground: false, preferCSSPageSize: false });
  const info = execFileSync("pdfinfo", [file], { encoding: "utf8" });
  return Number(/^Pages:\s+(\d+)/m.exec(info)[1]);
}

async function checkPrint(browser, base, tally, scratch) {
  const context = await browser.newContext();
  const page = await context.newPage();
  const { cards } = await (await context.request.get(`${base}/api/v1/cards?limit=100`)).json();
  for (const card of cards) {
    for (const format of ["A4", "Letter"]) {
      await page.goto(`${base}/cards/${card.id}/print?paper=${format.toLowerCase()}`);
      await page.emulateMedia({ media: "print" });
      const small = await page.evaluate(tooSmall, LEAST_PX);
      tally.check(small.length === 0, `${card.make} ${card.model}, ${format}: under 8 pt: ${small.slice(0, 3).join(" | ")}`);
      const file = path.join(scratch, `${format}.pdf`);
      const printed = await sides(page, file, format);
      // A pattern is printed as a coarse picture, on which hatches look alike.
      const pictures = execFileSync("pdfimages", ["-list", file], { encoding: "utf8" }).split("\n").length - 3;
      const patterns = fs.readFileSync(file, "latin1").split("/PatternType").length - 1;
      tally.check(pictures === 0 && patterns === 0, `${card.make} ${card.model}: ${pictures} pictures and ${patterns} patterns on paper`);
      const text = execFileSync("pdftotext", [file, "-"], { encoding: "utf8" });
      const turned = text.includes("Continues on side 2");
      const further = Number(/Further side 1 of (\d+)/.exec(text)?.[1] ?? 0);
      tally.check(printed === (turned ? 2 : 1) + further, `${card.make} ${card.model} prints on ${printed} sides of ${format}`);
      tally.check(text.split("Expose and look before every cut").length > printed, `${card.make} ${card.model}: a side without its cautions`);
      await page.emulateMedia({ media: null });
    }
  }
  await context.close();
}

// Every opening of a card, as the car may lie, is one sheet of paper at most.
async function checkPlanPrint(browser, base, tally, scratch) {
  const context = await browser.newContext();
  const page = await context.newPage();
  const { cards } = await (await context.request.get(`${base}/api/v1/cards?limit=100`)).json();
  for (const model of PLANNED) {
    const card = cards.find((c) => c.model === model);
    tally.check(Boolean(card), `the demo has no ${model}`);
    const openings = new Set();
    for (const resting of ["wheels", "roof", "left"]) {
      await page.goto(`${base}/cards/${card.id}/plan?seat=front-left&care=gentle&hand=yes&resting=${resting}`);
      const links = await page.$$eval(".openings a", (all) => all.map((a) => a.href.split("#")[0]));
      links.forEach((link) => openings.add(link));
    }
    tally.check(openings.size > 5, `${model} has ${openings.size} openings`);
    for (const opening of openings) {
      const named = `${model}, ${new URL(opening).search}`;
      await page.goto(opening);
      await page.emulateMedia({ media: "print" });
      const small = await page.evaluate(tooSmall, LEAST_PX);
      tally.check(small.length === 0, `${named}: under 8 pt: ${small.slice(0, 3).join(" | ")}`);
      for (const format of ["A4", "Letter"]) {
        const printed = await sides(page, path.join(scratch, "plan.pdf"), format);
        tally.check(printed <= 2, `${named} prints on ${printed} sides of ${format}`);
      }
      await page.emulateMedia({ media: null });
    }
  }
  await context.close();
}

module.exports = { checkPlanPrint, checkPrint };
