// Three departments and one card, through their pages on a phone: a finding is shared, a
// partner's correction enlarges the zone while it is only offered, an officer accepts, the
// neighbour's copy shows it and takes it over, and a link is read without an account.

const PASSWORD = "ladle hinge copper moss";
const SPAN = "b-pillar.left";
const PHONE = { viewport: { width: 390, height: 844 } };

// Somebody at a browser of their own, signed in.
class Person {
  static async signedIn(browser, base, name) {
    const person = new Person();
    person.base = base;
    person.context = await browser.newContext(PHONE);
    person.page = await person.context.newPage();
    await person.to("/sign-in");
    await person.page.fill('input[name="name"]', name);
    await person.page.fill('input[name="password"]', PASSWORD);
    await person.press("Sign in");
    if (person.page.url().includes("/sign-in")) throw new Error(`${name} was not let in`);
    return person;
  }

  async to(address) {
    const answer = await this.page.goto(this.base + address);
    if (!answer.ok()) throw new Error(`${address} answered ${answer.status()}`);
  }

  async press(name) {
    await this.page.locator("main").getByRole("button", { name, exact: true }).click();
    await this.page.waitForLoadState();
  }

  async follow(name) {
    await this.page.locator("main").getByRole("link", { name, exact: true }).click();
    await this.page.waitForLoadState();
  }

  text() {
    return this.page.textContent("main");
  }

  // The no-cut stretches of the pillar as its page writes them, with what they are there for.
  async noCut(card) {
    await this.to(`/cards/${card}/spans/${SPAN}`);
    const said = await this.text();
    const zones = await (await this.context.request.get(`${this.base}/api/v1/cards/${card}/zones`)).json();
    const closed = zones.spans.find((s) => s.id === SPAN).stretches.filter((s) => s.class === "no-cut");
    return { said, mm: closed.reduce((sum, s) => sum + s.to_mm - s.from_mm, 0), offered: zones.components.some((c) => c.offered || c.keep_outs.some((k) => k.offered)) };
  }

  async sketch(card) {
    const answer = await this.context.request.get(`${this.base}/cards/${card}/sketch.svg?view=frame-left`);
    return answer.ok() ? (await answer.text()) : null;
  }
}

// Keys are labels over radio buttons; their groups may be folded away.
async function choose(page, name, value) {
  await page.locator(`input[name="${name}"][value="${value}"]`).evaluate((input) => {
    for (let at = input.parentElement; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
    input.click();
  });
}

async function finds(person, { from, to, car }) {
  await choose(person.page, "kind", "pretensioner");
  for (const [name, value] of [["from", from], ["to", to], ["car", car]]) await person.page.fill(`input[name="${name}"]`, value);
}

async function record(owner, tally) {
  await owner.to("/cards/new?style=sedan");
  await owner.page.fill('input[name="make"]', "Invented");
  await owner.page.fill('input[name="model"]', "Three departments");
  await owner.page.click('form[action="/cards/new"] button.main');
  await owner.page.waitForURL(/\/cards\/(?!new)/);
  const card = /\/cards\/([^/?#]+)/.exec(owner.page.url())[1];
  await owner.to(`/cards/${card}/findings/new?span=${SPAN}`);
  await finds(owner, { from: "80", to: "210", car: "yard 1" });
  await owner.page.click('button[value="save"]');
  await owner.page.waitForURL(`**/cards/${card}`);
  tally.check((await owner.page.textContent("#parts")).includes("pretensioner"), "the finding is not on the card");
  return card;
}

async function share(owner, card, others, tally) {
  for (const other of others) {
    const answer = await other.context.request.get(`${other.base}/cards/${card}`);
    tally.check(answer.status() === 404, `a neighbour read the card before it was shared: ${answer.status()}`);
  }
  await owner.to(`/cards/${card}/sharing`);
  await owner.page.check('input[name="visibility"][value="partners"]');
  await owner.press("Save");
  for (const other of others) await other.to(`/cards/${card}`);
}

async function offer(partner, card, tally) {
  await partner.to(`/cards/${card}/findings/f1`);
  await partner.follow("Offer a correction");
  await finds(partner, { from: "60", to: "420", car: "harbour 2" });
  await partner.page.fill('textarea[name="reason"]', "It reaches higher on ours");
  await partner.press("Offer it");
  await partner.page.waitForLoadState();
  await partner.to(`/cards/${card}/findings/f2`);
  tally.check((await partner.page.textContent(".facts")).includes("offered"), "the correction does not stand as offered");
}

async function accept(officer, card, tally) {
  await officer.to("/waiting");
  await officer.page.click(`a[href="/cards/${card}/findings/f2"]`);
  await officer.page.waitForLoadState();
  const form = officer.page.locator('form:has(input[name="act"][value="accept"])');
  await form.evaluate((f) => { f.closest("details").open = true; });
  const seen = form.locator('input[name="shrink_seen"]');
  if (await seen.count()) await seen.check();
  await form.locator("button.main").click();
  await officer.page.waitForLoadState();
  await officer.to(`/cards/${card}/findings/f2`);
  const stands = await officer.page.textContent(".facts");
  tally.check(stands.includes("accepted"), `the officer's acceptance does not stand: ${stands}`);
}

async function link(owner, card, browser, tally) {
  await owner.to(`/cards/${card}/sharing`);
  await owner.page.fill('input[name="label"]', "Engine 4");
  await owner.page.locator('select[name="days"], input[name="days"]').first().evaluate((field) => {
    if (field.tagName === "SELECT") field.selectedIndex = 1; else field.click();
  });
  await owner.press("Make a link");
  const address = (await owner.page.textContent("#made code.link")).trim();
  tally.check((await owner.page.locator("#made svg").count()) === 1, "the link has no QR code");
  const context = await browser.newContext({ ...PHONE, isMobile: true, hasTouch: true });
  const page = await context.newPage();
  // The demo lets whoever comes look around as its first member, until they sign out.
  await page.goto(`${owner.base}/account`);
  await page.locator("main").getByRole("button", { name: "Sign out" }).first().click();
  await page.goto(`${owner.base}/cards/${card}`);
  tally.check(page.url().includes("/sign-in"), `somebody without an account is let in to ${page.url()}`);
  const opened = await page.goto(owner.base + new URL(address).pathname);
  tally.check(opened.status() === 200, `the link answered ${opened.status()}`);
  const body = await page.textContent("body");
  tally.check(body.includes("Three departments") && body.includes("pretensioner"), "the link does not show the card");
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  tally.check(wide <= 1, `the link's page scrolls sideways by ${wide} px on a phone`);
  await owner.to(`/cards/${card}/sharing`);
  await owner.press("End the link for Engine 4");
  const ended = await page.reload();
  tally.check(ended.status() === 404, `an ended link answered ${ended.status()}`);
  const left = await page.textContent("body");
  tally.check(!left.includes("pretensioner"), "an ended link still shows the card");
  await context.close();
}

async function checkStory(browser, base, tally) {
  const [owner, officer, partner, copier] = await Promise.all(
    ["ines", "marek", "rue", "dana"].map((name) => Person.signedIn(browser, base, name)));
  const card = await record(owner, tally);
  await share(owner, card, [partner, copier], tally);

  await copier.to(`/cards/${card}`);
  await copier.follow("Findings");
  await copier.press("Copy it into our book");
  await copier.page.waitForURL((url) => !url.pathname.includes(card));
  const copy = /\/cards\/([^/?#]+)/.exec(copier.page.url())[1];

  const before = await owner.noCut(card);
  const drawn = await owner.sketch(card);
  await offer(partner, card, tally);
  const offered = await owner.noCut(card);
  tally.check(offered.mm > before.mm + 200, `offered, the no-cut went from ${before.mm} to ${offered.mm} mm`);
  tally.check(offered.offered && offered.said.includes("offered"), "the page does not say that it is only offered");
  tally.check((await owner.sketch(card)) !== drawn, "the sketch does not show what is offered");
  await accept(officer, card, tally);
  const accepted = await owner.noCut(card);
  tally.check(accepted.mm > before.mm + 200 && !accepted.offered, `accepted, the no-cut is ${accepted.mm} mm`);

  const behind = await copier.noCut(copy);
  await copier.to(`/cards/${copy}/source`);
  tally.check((await copier.text()).includes("f2"), "the copy does not show what changed at its source");
  await copier.press("Take over what is ticked");
  const taken = await copier.noCut(copy);
  tally.check(taken.mm > behind.mm + 200, `taken over, the copy's no-cut went from ${behind.mm} to ${taken.mm} mm`);

  await link(owner, card, browser, tally);
  for (const person of [owner, officer, partner, copier]) await person.context.close();
}

module.exports = { checkStory };
