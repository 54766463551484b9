/**
 * Uses the bench page as a welder does, in headless Chromium, and fails where it does not do what it should: logging in
 * few taps, refusals beside the field, the keyboard alone, no connection, a photo; layout and accessibility at phone,
 * tablet and desk width, light and dark; and no request that leaves the machine.
 *
 *     npx tsx test/browser/bench/check.ts [--png folder] [--browser chromium]
 */
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { Page } from "../page.js";
import { entriesOf, plannedStudy, serveStudy } from "./served.js";
import type { Walk } from "./walk.js";
import { walks } from "./walks.js";

const { values } = parseArgs({
  options: { png: { type: "string" }, browser: { type: "string", default: "chromium" } },
});

async function main(): Promise<void> {
  const study = plannedStudy();
  const walk: Walk = {
    study,
    served: await serveStudy(study, "--port", "0"),
    page: await Page.start(values.browser),
  };
  const { page } = walk;
  const faults: string[] = [];
  try {
    await page.show({ width: 390, scheme: "light" });
    await page.open(walk.served.url);
    for (const [name, work] of walks) {
      const start = performance.now();
      const found = await work(walk).catch((error: Error) => [error.message]);
      faults.push(...found.map((fault) => `${name}: ${fault}`));
      console.log(
        `${found.length === 0 ? "fine" : "FAULT"}  ${name} (${Math.round(performance.now() - start)} ms)`,
      );
    }
    faults.push(...(await looks(walk)));
    faults.push(...strangeRequests(walk));
  } finally {
    await page.close();
    await walk.served.stop();
  }
  for (const fault of faults) console.log(`  ${fault}`);
  if (faults.length > 0) process.exitCode = 1;
  else console.log(`${entriesOf(study).length} entries in the journal, no fault`);
}

/** Every view at every width, in both schemes. */
async function looks({ page, served, study }: Walk): Promise<readonly string[]> {
  const checker = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  const faults: string[] = [];
  const views = [
    ["coupons", () => page.tap(".box")],
    [
      "lesson",
      () =>
        page.tap(".logged details:nth-of-type(2) summary").then(() => page.tap("details[open] .row button")),
    ],
    ["correct", () => page.tap("details[open] .row button", "Correct")],
    ["incident", () => page.tap(".wrong")],
    ["photo", () => choosePhoto(page, join(study.folder, "..", "bead.png"))],
    [
      "rectangle",
      () =>
        page
          .tap(".choice", "Known rectangle")
          .then(() => page.run("document.querySelectorAll('.handle')[0].focus()")),
    ],
  ] as const;
  if (values.png !== undefined) mkdirSync(values.png, { recursive: true });
  for (const scheme of ["light", "dark"])
    for (const width of [390, 768, 1280]) {
      // Colours are one question, widths another: all of both are for whoever looks at the pictures.
      if (scheme === "dark" && width > 390 && values.png === undefined) continue;
      await page.show({ width, scheme });
      await page.open(served.url);
      await page.until("document.querySelector('.standing') !== null");
      for (const [name, prepare] of views) {
        await prepare();
        const found = await page.faults(checker);
        faults.push(...found.map((fault) => `${name}, ${width} px, ${scheme}: ${fault}`));
        if (values.png !== undefined)
          await page.picture(join(values.png, `${name}-${width}-${scheme}.png`), name !== "incident");
      }
    }
  return faults;
}

async function choosePhoto(page: Page, file: string): Promise<void> {
  await page.run("document.querySelector('dialog[open]').close()");
  await page.tap(".top .quiet");
  await page.choose(".measure input[type=file]", file);
  await page.until("document.querySelectorAll('.handle').length > 4");
}

/** Requests for anything but the page's own address, and what the browser complains of. */
function strangeRequests({ page, served }: Walk): readonly string[] {
  return page.browser.events.flatMap(({ method, params }) => {
    if (method === "Runtime.exceptionThrown")
      return [`script error: ${JSON.stringify(params.exceptionDetails)}`];
    if (method !== "Network.requestWillBeSent") return [];
    const { url } = params.request as { readonly url: string };
    const own = [served.url, "http://127.0.0.2:", "blob:"].some((start) => url.startsWith(start));
    return own ? [] : [`asks for ${url}`];
  });
}

main().catch((error: Error) => {
  console.error(error.stack);
  process.exitCode = 1;
});
