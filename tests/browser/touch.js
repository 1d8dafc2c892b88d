// A touch on a view of the car offers a finding on the nearest span, at the station that
// was touched; on a ruler it fills the stations.

async function checkTouch(browser, base, tally) {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const page = await context.newPage();
  const cards = await (await context.request.get(`${base}/api/v1/cards?limit=1`)).json();
  const card = cards.cards[0].id;
  const zones = await (await context.request.get(`${base}/api/v1/cards/${card}/zones`)).json();
  for (const [view, span] of [["left", "rocker.left"], ["top", "rocker.right"], ["right?turn=90", "rocker.right"]]) {
    await page.goto(`${base}/cards/${card}/sketch/${view}`);
    const long = zones.spans.find((s) => s.id === span).length_mm;
    // Where the middle of its first and last point lies on the screen.
    const at = await page.$eval(`[data-touch-view] path[data-span="${span}"]`, (path) => {
      path.scrollIntoView({ block: "center" });
      const box = path.getBoundingClientRect();
      return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    });
    await page.mouse.click(at.x, at.y);
    const way = await page.getAttribute("#touched a", "href");
    const asked = new URL(way, base).searchParams;
    tally.check(asked.get("span") === span, `${view}: ${span} was touched, ${way} is offered`);
    const station = parseFloat(asked.get("from"));
    tally.check(Math.abs(station - long / 2) < long / 5, `${view}: ${station} mm is not about the middle of ${long} mm`);
    await page.click("#touched a");
    tally.check((await page.inputValue("select[name=span]")) === span, `${view}: the form has another span`);
    tally.check((await page.inputValue("input[name=from]")) === `${station} mm`, `${view}: the form has another station`);
  }
  const bar = await page.$eval(".drawn.touch path[data-span]", (path) => {
    const box = path.getBoundingClientRect();
    return { x: box.x, y: box.y, width: box.width };
  });
  const long = zones.spans.find((s) => s.id === "rocker.right").length_mm;
  await page.mouse.click(bar.x + 0.75 * bar.width, bar.y);
  await page.mouse.click(bar.x + 0.25 * bar.width, bar.y);
  const [from, to] = [await page.inputValue("input[name=from]"), await page.inputValue("input[name=to]")].map(parseFloat);
  tally.check(Math.abs(from - 0.25 * long) < 0.01 * long, `the ruler was touched at a quarter, ${from} of ${long} mm is filled in`);
  tally.check(Math.abs(to - 0.75 * long) < 0.01 * long, `the ruler was touched at three quarters, ${to} of ${long} mm is filled in`);
  await page.goto(`${base}/cards/${card}/sketch/left`);
  const box = await page.$eval("[data-touch-view] svg", (svg) => {
    svg.scrollIntoView({ block: "end" });
    return svg.getBoundingClientRect().toJSON();
  });
  await page.mouse.click(box.x + 3, box.y + box.height - 3);
  tally.check(!(await page.isVisible("#touched a")), "a touch far from every span offers a finding");
  await context.close();
}

module.exports = { checkTouch };
