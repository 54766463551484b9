/**
 * Opens HTML pages in headless Chromium at phone and desk width, light and dark, and fails when the page
 * logs an error, fetches anything, is wider than the window, has a drawing that cannot be seen or leaves its place
 * half empty, a label that is cut off or written over another, or text of too little contrast (WCAG 2.2, 1.4.3). A page that is meant for one sheet of paper must
 * fill no more than one, of A4 and of Letter, and nothing may be cut off on paper.
 *
 *     npx tsx test/browser/check.ts page.html ... [--png picture.png] [--browser chromium]
 *
 * With `--png`, pictures of each whole page are written beside the name given: picture-page-light-360.png, ...
 */
import { existsSync, writeFileSync } from "node:fs";
import { parse, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { Browser, type BrowserEvent } from "./devtools.js";
import { findFaults } from "./faults.js";

const widths = [360, 390, 768, 1280, 1600] as const;
/** Sheets of paper in inches, ISO 216 A4 and ANSI Letter, and the margin of such a page. */
const papers = {
  A4: { paperWidth: 210 / 25.4, paperHeight: 297 / 25.4 },
  Letter: { paperWidth: 8.5, paperHeight: 11 },
} as const;
const schemes = ["light", "dark"] as const;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { png: { type: "string" }, browser: { type: "string", default: "chromium" } },
});
async function main(): Promise<void> {
  if (positionals.length === 0 || !positionals.every((file) => existsSync(file))) {
    throw new Error("usage: check.ts page.html ... [--png picture.png] [--browser chromium]");
  }
  const browser = await Browser.start(values.browser);
  let faults = 0;
  try {
    for (const domain of ["Page", "Runtime", "Log", "Network"]) await browser.send(`${domain}.enable`);
    const report = (what: string, found: readonly string[]): void => {
      faults += found.length;
      console.log(`${what}: ${found.length === 0 ? "fine" : ""}`);
      for (const fault of found) console.log(`  ${fault}`);
    };
    for (const file of positionals) {
      const url = pathToFileURL(resolve(file)).href;
      for (const scheme of schemes)
        for (const width of widths)
          report(`${file}, ${scheme}, ${width} px`, await checkPage(browser, url, scheme, width));
      for (const paper of Object.keys(papers) as (keyof typeof papers)[])
        report(`${file}, ${paper}`, await checkPaper(browser, paper));
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
  // A page that draws to its width does so once it knows this: after a frame or two.
  await browser.send("Runtime.evaluate", {
    expression:
      "new Promise((done) => setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(done))))",
    awaitPromise: true,
  });
  const { result } = await browser.send("Runtime.evaluate", { expression: findFaults, returnByValue: true });
  const layout = (result as { value?: string[] }).value;
  if (layout === undefined) throw new Error("the layout check did not run in the page");
  if (values.png !== undefined)
    await takePicture(browser, values.png, `${parse(fileURLToPath(url)).name}-${scheme}-${width}`);
  return [...browser.events.flatMap((event) => eventFault(event, url)), ...layout];
}

/** Prints the page that is open: nothing may be lost at its edges, and one that is meant for one sheet must fill no more. */
async function checkPaper(browser: Browser, paper: keyof typeof papers): Promise<string[]> {
  const { result } = await browser.send("Runtime.evaluate", {
    expression: "document.body.classList.contains('one-paper')",
    returnByValue: true,
  });
  const { data } = await browser.send("Page.printToPDF", { ...papers[paper], preferCSSPageSize: false });
  const sheets = Buffer.from(data as string, "base64")
    .toString("latin1")
    .match(/\/Type\s*\/Page\b(?!s)/g)?.length;
  if (sheets === undefined) throw new Error("no sheet was printed");
  const oneSheet = (result as { value?: boolean }).value === true;
  await browser.send("Emulation.setEmulatedMedia", { media: "print" });
  await browser.send("Emulation.setDeviceMetricsOverride", {
    // The sheet less its margins, of 7 mm or those of the browser, at 96 px to the inch.
    width: Math.floor(96 * (papers[paper].paperWidth - (oneSheet ? 14 / 25.4 : 0.8))),
    height: 1000,
    deviceScaleFactor: 1,
    mobile: false,
  });
  const { result: layout } = await browser.send("Runtime.evaluate", {
    expression: findFaults,
    returnByValue: true,
  });
  await browser.send("Emulation.setEmulatedMedia", { media: "" });
  return [
    ...(sheets === 1 || !oneSheet ? [] : [`fills ${sheets} sheets and is meant for one`]),
    ...((layout as { value?: string[] }).value ?? ["the layout check did not run in the page"]),
  ];
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
