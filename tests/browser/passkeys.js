// Passkeys with the browser's own virtual device, at localhost: a passkey belongs to a
// name and never to a number. One is added, signs in, and opens nothing once removed;
// each page says why when the device refuses, and does without scripts what it can.

const DEVICE = {
  protocol: "ctap2", transport: "internal", hasResidentKey: true, hasUserVerification: true,
  isUserVerified: true, automaticPresenceSimulation: true,
};

// A device for a page, and a way to say whether it knows its owner.
async function withDevice(page) {
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("WebAuthn.enable");
  const { authenticatorId } = await cdp.send("WebAuthn.addVirtualAuthenticator", { options: DEVICE });
  return {
    knowsOwner: (isUserVerified) =>
      cdp.send("WebAuthn.setUserVerified", { authenticatorId, isUserVerified }),
    held: async () => (await cdp.send("WebAuthn.getCredentials", { authenticatorId })).credentials,
  };
}

async function readyAccount(page, base) {
  await page.goto(`${base}/sign-in`);
  const password = await page.textContent("h2:has-text('Ready accounts') + p code");
  const name = await page.textContent("ul.rules code");
  return { name: name.trim(), password: password.trim() };
}

async function signOut(page, base) {
  await page.goto(`${base}/account`);
  await page.click("form[action='/sign-out'] button");
  await page.waitForURL(`${base}/sign-in`);
}

async function add(page, base, label, password) {
  await page.goto(`${base}/account`);
  await page.fill("input[name=passkey]", label);
  await page.fill("input[name=own]", password);
  await page.click("button[value=add]");
}

// The whole way of one passkey.
async function life(browser, base, tally) {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const page = await context.newPage();
  const wrong = [];
  page.on("pageerror", (error) => wrong.push(error.message));
  page.on("console", (m) => { if (m.type() === "error" && !/status of 4\d\d/.test(m.text())) wrong.push(m.text()); });
  const device = await withDevice(page);
  const { name, password } = await readyAccount(page, base);
  await page.fill("input[name=name]", name);
  await page.fill("input[name=password]", password);
  await page.click("form[action='/sign-in'] button");
  await page.waitForURL(`${base}/`);

  await device.knowsOwner(false);
  await add(page, base, "pocket phone", password);
  await page.click("[data-passkey=make] button");
  await page.waitForFunction(() => /called off/.test(document.querySelector("[role=status]").textContent));
  tally.check((await device.held()).length === 0, "passkeys: kept though the device did not know its owner");
  tally.check(await page.isEnabled("[data-passkey=make] button"), "passkeys: cannot be tried again");
  await device.knowsOwner(true);
  await page.click("[data-passkey=make] button");
  await page.waitForURL(`${base}/account#passkeys`);
  const listed = await page.textContent("main");
  tally.check(/pocket phone · made on .*, not used yet/.test(listed), "passkeys: the new one is not in the list");
  const held = await device.held();
  tally.check(held.length === 1 && held[0].isResidentCredential && held[0].rpId === "localhost",
    `passkeys: the device keeps ${JSON.stringify(held.map((h) => [h.isResidentCredential, h.rpId]))}`);

  await add(page, base, "pocket phone again", password);
  await page.click("[data-passkey=make] button");
  await page.waitForFunction(() => /already/.test(document.querySelector("[role=status]").textContent));
  tally.check((await device.held()).length === 1, "passkeys: one device keeps two");

  await signOut(page, base);
  await page.goto(`${base}/sign-in?next=%2Fwaiting`);
  await device.knowsOwner(false);
  await page.click("#f-passkey");
  await page.waitForFunction(() => /called off/.test(document.querySelector("[role=status]").textContent));
  await device.knowsOwner(true);
  const before = await context.cookies();
  await page.click("#f-passkey");
  await page.waitForURL(`${base}/waiting`);
  const session = (cookies) => cookies.find((c) => c.name === "session")?.value;
  tally.check(session(await context.cookies()) && !session(before), "passkeys: signing in begins no session");
  await page.goto(`${base}/account`);
  tally.check((await page.textContent("main")).includes(`signs in as ${name}`), "passkeys: somebody else is in");
  tally.check(/last used/.test(await page.textContent("main")), "passkeys: not written down that it was used");

  await page.click("summary:has-text('Remove pocket phone')");
  await page.fill("details[open] input[type=password]", "not the password");
  await page.click("details[open] button");
  tally.check((await page.textContent("details[open]")).includes("this is not your password"), "passkeys: removed without the password");
  await page.fill("details[open] input[type=password]", password);
  await page.click("details[open] button");
  await page.waitForURL(`${base}/account#passkeys`);
  tally.check((await page.textContent("main")).includes("None yet."), "passkeys: still in the list");
  await signOut(page, base);
  await page.click("#f-passkey");
  await page.waitForSelector(".errors");
  tally.check((await page.textContent(".errors")).includes("not known here, or no more"), "passkeys: a removed one is not refused in words");
  tally.check(!session(await context.cookies()), "passkeys: a removed one signs in");
  tally.check(wrong.length === 0, `passkeys: ${wrong.join("; ")}`);
  await context.close();
}

// Where they cannot be used, nothing is offered that does not work.
async function without(browser, base, number, tally) {
  const plain = await browser.newContext({ javaScriptEnabled: false });
  const page = await plain.newPage();
  const { name, password } = await readyAccount(page, base);
  tally.check(!(await page.isVisible("#f-passkey")), "passkeys: a button without scripts");
  await page.fill("input[name=name]", name);
  await page.fill("input[name=password]", password);
  await page.click("form[action='/sign-in'] button");
  await page.waitForURL(`${base}/`);
  await page.goto(`${base}/account`);
  tally.check(await page.isVisible("noscript p"), "passkeys: no word of why, without scripts");
  tally.check(!(await page.isVisible("button[value=add]")), "passkeys: a form that leads nowhere, without scripts");
  await plain.close();

  const old = await browser.newContext();
  await old.addInitScript(() => { delete window.PublicKeyCredential; });
  const there = await old.newPage();
  await there.goto(`${base}/sign-in`);
  tally.check(!(await there.isVisible("#f-passkey")), "passkeys: a button in a browser that cannot");
  await there.goto(`${number}/sign-in`);
  tally.check((await there.locator("#f-passkey").count()) === 0, "passkeys: a button under a number");
  await old.close();
}

// The pages a passkey leads over, as they are looked at.
async function looked(browser, base, tally, look) {
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [390, 1280]) {
      const context = await browser.newContext({ colorScheme, viewport: { width, height: 844 }, bypassCSP: true });
      const page = await context.newPage();
      await withDevice(page);
      const where = `passkeys ${colorScheme} ${width}`;
      const { name, password } = await readyAccount(page, base);
      await look(page, `${base}/sign-in`, base, tally, `${where}, sign-in`);
      await page.fill("input[name=name]", name);
      await page.fill("input[name=password]", password);
      await page.click("form[action='/sign-in'] button");
      await page.waitForURL(`${base}/`);
      await add(page, base, `a device with a name as long as names may be, for ${colorScheme} ${width}`, password);
      await look(page, null, base, tally, `${where}, making one`);
      await page.click("[data-passkey=make] button");
      await page.waitForURL(`${base}/account#passkeys`);
      await look(page, `${base}/account`, base, tally, `${where}, account`);
      await page.fill("details[open] input[type=password]", password);
      await page.click("details[open] button");
      await page.waitForURL(`${base}/account#passkeys`);
      await context.close();
    }
  }
}

async function checkPasskeys(browser, number, tally, look) {
  const base = number.replace("127.0.0.1", "localhost");
  await life(browser, base, tally);
  await without(browser, base, number, tally);
  await looked(browser, base, tally, look);
}

module.exports = { checkPasskeys };
