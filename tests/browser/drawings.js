// Every drawing of every body style, as the browser's own SVG reader takes it: a picture
// with an extent, in which something is drawn.

const VIEWS = ["frame-left", "frame-right", "left", "right", "top", "front"];
const LOOKS = ["light", "dark", "print"];

// Share of pixels of the picture that differ from its corner.
const drawn = async (address) => {
  const picture = new Image();
  picture.src = address;
  await picture.decode();
  const canvas = document.createElement("canvas");
  canvas.width = picture.naturalWidth;
  canvas.height = picture.naturalHeight;
  const pen = canvas.getContext("2d");
  pen.drawImage(picture, 0, 0);
  const { data } = pen.getImageData(0, 0, canvas.width, canvas.height);
  let other = 0;
  for (let i = 4; i < data.length; i += 4) other += data[i] !== data[0] || data[i + 1] !== data[1] || data[i + 2] !== data[2] ? 1 : 0;
  return { width: picture.naturalWidth, height: picture.naturalHeight, share: other / (data.length / 4) };
};

async function checkDrawings(browser, base, tally) {
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(`${base}/`);
  const { body_styles: styles } = await (await context.request.get(`${base}/api/v1/body-styles`)).json();
  tally.check(styles.length === 12, `${styles.length} body styles`);
  for (const style of styles) {
    for (const view of VIEWS) {
      for (const look of LOOKS) {
        const address = `${base}/body-styles/${style.id}/sketch.svg?view=${view}&look=${look}`;
        const seen = await page.evaluate(drawn, address).catch((error) => ({ error: error.message }));
        const good = !seen.error && seen.width >= 300 && seen.height >= 150 && seen.share > 0.03 && seen.share < 0.9;
        tally.check(good, `${style.id} ${view} ${look}: ${JSON.stringify(seen)}`);
      }
    }
  }
  await context.close();
}

module.exports = { checkDrawings };
