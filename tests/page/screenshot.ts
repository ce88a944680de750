/// <reference lib="dom" />
/** Draws the picture of the README anew: `npm run screenshot`. */
import { fileURLToPath } from "node:url";
import { Bench, packedAfter } from "./browser.js";

const bench = await Bench.start();
try {
  const { page } = await bench.open(await bench.write("dish-controller"));
  await page.locator('[data-group="l1i"] summary').click();
  await page.locator('[data-group="l1d"] summary').click();
  const ways = page.locator('[data-path="l1d.ways"]');
  await ways.focus();
  await packedAfter(page, () => page.keyboard.press("ArrowDown"));
  await page.evaluate(() => {
    (document.activeElement as HTMLElement).blur();
    scrollTo(0, 0);
  });
  await page.screenshot({ path: fileURLToPath(new URL("screenshot.png", import.meta.url)) });
} finally {
  await bench.close();
}
