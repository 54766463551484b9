/**
 * Opens an HTML page in headless Chromium at phone and desk width, light and dark, and fails when the page
 * logs an error, fetches anything, is wider than the window, has a drawing that cannot be seen or a label
 * that is cut off, or text of too little contrast (WCAG 2.2, 1.4.3).
 *
 *     npx tsx test/browser/check.ts page.html [--png picture.png] [--browser chromium]
 *
 * With `--png`, pictures of the whole page are written beside the name given: picture-light-360.png, ...
 */
import { existsSync, writeFileSync } from "node:fs";
import { parse, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { Browser, type BrowserEvent } from "./devtools.js";
import { findFaults } from "./faults.js";

const widths = [360, 1280] as const;
const schemes = ["light", "dark"] as const;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { png: { type: "string" }, browser: { type: "string", default: "chromium" } },
});
const [file] = positionals;

async function main(): Promise<void> {
  if (positionals.length !== 1 || file === undefined || !existsSync(file)) {
    throw new Error("usage: check.ts page.html [--png picture.png] [--browser chromium]");
  }
  const browser = await Browser.start(values.browser);
  let faults = 0;
  try {
    for (const domain of ["Page", "Runtime", "Log", "Network"]) await browser.send(`${domain}.enable`);
    for (const scheme of schemes) {
      for (const width of widths) {
        const found = await checkPage(browser, pathToFileURL(resolve(file)).href, scheme, width);
        faults += found.length;
        console.log(`${scheme}, ${width} px: ${found.length === 0 ? "fine" : ""}`);
        for (const fault of found) console.log(`  ${fault}`);
      }
    }
  } finally {
    await browser.close();
  }
  if (faults > 0) process.exitCode = 1;
}

async function checkPage(browser: Browser, url: string, scheme: string, width: number): Promise<string[]> {
  await browser.send("Emulation.setDeviceMetricsOverride", {
    width,
    height: 900,
    deviceScaleFactor: 1,
    mobile: false,
  });
  await browser.send("Emulation.setEmulatedMedia", {
    features: [{ name: "prefers-color-scheme", value: scheme }],
  });
  browser.events.length = 0;
  await browser.during("Page.loadEventFired", () => browser.send("Page.navigate", { url }));
  const { result } = await browser.send("Runtime.evaluate", { expression: findFaults, returnByValue: true });
  const layout = (result as { value?: string[] }).value;
  if (layout === undefined) throw new Error("the layout check did not run in the page");
  if (values.png !== undefined) await takePicture(browser, values.png, `${scheme}-${width}`);
  return [...browser.events.flatMap((event) => eventFault(event, url)), ...layout];
}

/** What an event of the browser says against the page. */
function eventFault({ method, params }: BrowserEvent, url: string): string[] {
  if (method === "Runtime.exceptionThrown")
    return [`script error: ${JSON.stringify(params.exceptionDetails)}`];
  if (method === "Runtime.consoleAPICalled" && params.type === "error") {
    return [`console error: ${JSON.stringify(params.args)}`];
  }
  if (method === "Log.entryAdded") {
    const { level, text } = params.entry as { level: string; text: string };
    return level === "error" || level === "warning" ? [`browser ${level}: ${text}`] : [];
  }
  if (method === "Network.requestWillBeSent") {
    const { url: asked } = params.request as { url: string };
    return asked === url || asked.startsWith("data:") ? [] : [`fetches ${asked}`];
  }
  return [];
}

async function takePicture(browser: Browser, png: string, suffix: string): Promise<void> {
  const { data } = await browser.send("Page.captureScreenshot", { captureBeyondViewport: true });
  const { dir, name } = parse(resolve(png));
  writeFileSync(resolve(dir, `${name}-${suffix}.png`), Buffer.from(data as string, "base64"));
}

main().catch((error: Error) => {
  console.error(error.message);
  process.exitCode = 1;
});
