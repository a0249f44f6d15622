// Opens a report in headless Chromium: pictures at two widths, A4, and the accessibility checker.
// Fails on a serious finding, on anything wider than the window, on a network request, on a script error.
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";

const [report, out] = process.argv.slice(2);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const profile = mkdtempSync(join(tmpdir(), "look-"));
const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM,
  userDataDir: profile,
  protocolTimeout: 300_000,
  args: [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
  ],
});
/** Pieces of a page that are kept as pictures; the rest repeats what they show. */
const PIECES = 6;
const faults = [];
try {
  for (const width of [1280, 390]) {
    const page = await browser.newPage();
    page.on("request", (request) => {
      const url = request.url();
      if (!url.startsWith("file:") && !url.startsWith("data:")) faults.push(`asks the network for ${url}`);
    });
    page.on("pageerror", (error) => faults.push(`script error: ${error.message}`));
    await page.setViewport({ width, height: 900 });
    await page.goto(pathToFileURL(report).href);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    if (wide > width) faults.push(`${wide} pixels wide in a window of ${width}`);
    // A long page is painted in pieces: the window is made as high as a piece, and moved.
    const piece = 3000;
    await page.setViewport({ width, height: piece });
    const high = await page.evaluate(() => document.documentElement.scrollHeight);
    for (let i = 0; i < Math.min(Math.ceil(high / piece), PIECES); i += 1) {
      await page.evaluate((top) => window.scrollTo(0, top), i * piece);
      await page.screenshot({ path: join(out, `at-${width}-${i}.png`), captureBeyondViewport: false });
    }
    await page.evaluate(axe);
    const result = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
    for (const found of result.violations) {
      const line = `${width}: ${found.impact} ${found.id}: ${found.help} (${found.nodes.length}x, first ${found.nodes[0].target.join(" ")})`;
      if (found.impact === "serious" || found.impact === "critical") faults.push(line);
      else console.log(`look: not serious, ${line}`);
    }
    console.log(`look: ${width} pixels: ${result.passes.length} rules passed, ${result.violations.length} findings`);
    if (width === 1280) await page.pdf({ path: join(out, "a4.pdf"), preferCSSPageSize: true, timeout: 120_000 });
    await page.close();
  }
} finally {
  await browser.close();
  rmSync(profile, { recursive: true, force: true });
}
for (const fault of faults) console.error(`look: ${fault}`);
process.exit(faults.length > 0 ? 1 : 0);
