// The pages in a real browser, against a running service with the demo's book.
//
//   node tests/browser/run.js http://127.0.0.1:8080
//
// Ends with "N passed, N failed"; exits 1 when anything failed.

const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { chromium } = require("playwright-core");
const { checkDrawings } = require("./drawings.js");
const { checkLinks } = require("./links.js");
const { checkNames } = require("./names.js");
const { checkNotes } = require("./notes.js");
const { checkPasskeys } = require("./passkeys.js");
const { checkPlan } = require("./plan.js");
const { checkPages, look } = require("./pages.js");
const { checkPlanPrint, checkPrint } = require("./print.js");
const { checkSession } = require("./session.js");
const { checkStory } = require("./story.js");
const { checkTouch } = require("./touch.js");

const FLAGS = [
  "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
  "--disable-default-apps", "--disable-features=OptimizationHints,MediaRouter,Translate",
  "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1 , EXCLUDE localhost",
];

class Tally {
  passed = 0;
  failed = 0;
  check(ok, what) {
    if (ok) this.passed += 1;
    else {
      this.failed += 1;
      console.log(`FAILED  ${what}`);
    }
  }
  // A part that throws is a failure of that part alone; the others still run.
  async part(name, run) {
    const before = this.passed;
    try {
      await run();
      this.check(this.passed > before, `${name}: nothing was checked`);
    } catch (error) {
      this.check(false, `${name}: ${error.message}`);
    }
  }
}

async function main(base) {
  const scratch = fs.mkdtempSync(path.join(os.tmpdir(), "pillarbook-browser-"));
  const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", headless: true, args: FLAGS });
  const tally = new Tally();
  try {
    await tally.part("pages", () => checkPages(browser, base, tally));
    await tally.part("print", () => checkPrint(browser, base, tally, scratch));
    await tally.part("drawings", () => checkDrawings(browser, base, tally));
    await tally.part("plans in print", () => checkPlanPrint(browser, base, tally, scratch));
    await tally.part("links", () => checkLinks(browser, base, tally, scratch));
    await tally.part("long names", () => checkNames(browser, base, tally));
    await tally.part("touch", () => checkTouch(browser, base, tally));
    await tally.part("notes", () => checkNotes(browser, base, tally));
    await tally.part("passkeys", () => checkPasskeys(browser, base, tally, look));
    await tally.part("plan", () => checkPlan(browser, base, tally));
    await tally.part("strip session", () => checkSession(browser, base, tally));
    await tally.part("three departments", () => checkStory(browser, base, tally));
  } finally {
    await browser.close();
    fs.rmSync(scratch, { recursive: true, force: true });
  }
  console.log(`${tally.passed} passed, ${tally.failed} failed`);
  process.exitCode = tally.failed ? 1 : 0;
}

main(process.argv[2].replace(/\/$/, ""));
