// A plan as a crew makes it on a phone: three touches, a look at the car that makes it
// anew at the same step, a step moved by hand, and the same without JavaScript.

const START = "seat=front-left&care=gentle&hand=yes&open=side-removal.left";

// A new card: nothing is recorded, so that every cut is to be looked at first.
async function newCard(page, base) {
  await page.goto(`${base}/cards/new?style=sedan`);
  await page.fill('input[name="make"]', "Invented");
  await page.fill('input[name="model"]', "Way out");
  await page.click('form[action="/cards/new"] button.main');
  return page.url().split("?")[0];
}

async function threeTouches(page, card, tally) {
  await page.goto(card);
  await page.click('a[href*="/plan"]');
  await page.click(".seat >> nth=0");
  await page.click(".care >> nth=1");
  await page.click(".go button");
  const address = new URL(page.url());
  tally.check(address.searchParams.get("care") === "gentle", `three touches lead to ${address}`);
  tally.check((await page.locator(".step").count()) > 3, "three touches lead to no steps");
  await page.goBack();
  tally.check((await page.locator(".seat input:checked").count()) === 1, "going back forgets the seat");
}

async function look(page, card, tally, how) {
  await page.goto(`${card}/plan?${START}`);
  const step = page.locator(".step", { has: page.locator(".more.look") })
    .filter({ has: page.locator("h3", { hasText: /Cut: / }) }).first();
  const id = await step.getAttribute("id");
  const flag = () => page.locator(`#${id} h3 .flag`).textContent();
  tally.check((await flag()) === "look first", `${how}: the first cut is ${await flag()}`);
  await page.click(`#${id} .more summary`);
  await page.click(`#${id} .look button[value=bare]`);
  tally.check(page.url().endsWith(`#${id}`), `${how}: a look leads away from its step, to ${page.url()}`);
  tally.check((await flag()) === "seen bare", `${how}: after the look the cut is ${await flag()}`);
  const top = await page.$eval(`#${id}`, (e) => e.getBoundingClientRect().top);
  tally.check(top > -40 && top < 844, `${how}: the step is at ${top} px after the look`);
  await page.click("#looks button");
  tally.check((await flag()) === "look first", `${how}: taken away, the cut is ${await flag()}`);
}

async function order(page, card, tally, how) {
  await page.goto(`${card}/plan?${START}`);
  const id = "s-part-b-head";
  for (let tries = 0; tries < 8; tries += 1) {
    const all = await page.$$eval(".step", (steps) => steps.map((s) => s.id));
    if (all.indexOf(id) < all.indexOf("s-part-b-foot")) break;
    await page.click(`#${id} .more summary`);
    await page.click(`#${id} button[value$=":up"]`);
  }
  tally.check((await page.locator(`#${id} .flagged`).count()) > 0, `${how}: head before foot is not flagged`);
  await page.click('#open a:has-text("Back to the order made here")');
  tally.check((await page.locator(".flagged").count()) === 0, `${how}: the order made here is flagged`);
}

// A plan of many steps is read with a thumb: short, and what each side hears is in sight.
async function short(page, base, tally) {
  const { cards } = await (await page.context().request.get(`${base}/api/v1/cards?limit=1`)).json();
  await page.goto(`${base}/cards/${cards[0].id}/plan?seat=front-left&care=gentle&hand=yes&open=roof-removal`);
  const [height, steps] = await page.evaluate(() =>
    [document.querySelector(".steps").offsetHeight, document.querySelectorAll(".step").length]);
  tally.check(steps > 20 && height / steps < 280, `${steps} steps stand ${height} px high`);
  for (const heard of [".crew", ".inside"]) {
    const seen = await page.locator(`.step ${heard}:visible`).count();
    tally.check(seen === steps, `${heard} is seen at ${seen} of ${steps} steps`);
  }
}

// A clock that is far from UTC: what it shows is sent as the moment it is.
async function clock(browser, base, tally) {
  const context = await browser.newContext({ timezoneId: "Pacific/Auckland" });
  const page = await context.newPage();
  const { cards } = await (await context.request.get(`${base}/api/v1/cards?limit=1`)).json();
  await page.goto(`${base}/cards/${cards[0].id}/plan?seat=front-left&care=now&change=1`);
  const typed = await page.evaluate(() => {
    const at = new Date(Date.now() - 10 * 60000);
    const text = `${at.getHours()}:${String(at.getMinutes()).padStart(2, "0")}`;
    const input = document.querySelector('[name="iso-12v-main-at"]');
    input.closest("details").open = true;
    input.value = text;
    return text;
  });
  await page.click('button[name="go"] >> nth=0');
  const sent = new URL(page.url()).searchParams.get("iso-12v-main-at");
  const minutes = (Date.now() - new Date(sent).getTime()) / 60000;
  tally.check(minutes >= 9.5 && minutes < 12, `${typed} in Auckland is sent as ${sent}`);
  await page.goto(`${page.url()}&change=1`);
  const shown = await page.inputValue('[name="iso-12v-main-at"]');
  tally.check(shown === typed, `${typed} comes back as ${shown}`);
  await context.close();
}

async function checkPlan(browser, base, tally) {
  for (const javaScriptEnabled of [true, false]) {
    const how = javaScriptEnabled ? "with scripts" : "without scripts";
    const context = await browser.newContext({ viewport: { width: 390, height: 844 }, javaScriptEnabled });
    const page = await context.newPage();
    const card = await newCard(page, base);
    await threeTouches(page, card, tally);
    await look(page, card, tally, how);
    await order(page, card, tally, how);
    await short(page, base, tally);
    await context.close();
  }
  await clock(browser, base, tally);
}

module.exports = { checkPlan };
