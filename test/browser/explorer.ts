/**
 * Moves the settings of a report's explorer in headless Chromium as a person does, and holds every number it shows to the
 * library's to 1e-9: at 20 settings drawn at random, of the demo study and of an invented one with hostile names. Also:
 * nothing is fetched, the page works by keyboard, bad numbers are refused beside their field, nothing overflows, and the
 * accessibility checker finds no serious fault.
 *
 *     npx tsx test/browser/explorer.ts report.html study-folder [--browser chromium]
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { buildOutcomeModel, type OutcomeModel, outcomeData } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { explorerData } from "../../lib/report/explorer/index.js";
import { renderReport } from "../../lib/report/index.js";
import { openStudy, type StudyDefinition } from "../../lib/study/index.js";
import { conformance, foreseeCoupons, makeExplorer } from "../../lib/window/index.js";
import { anySetting, exploredStudies } from "../report/explorer/studies.js";
import { Page } from "./page.js";

const SETTINGS = 20;
const CLOSE = 1e-9;
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

type Settings = Readonly<Record<string, number | string>>;

/** Every number the page shows of a setting, by result, in the order shown. */
type Shown = Readonly<Record<string, readonly number[]>>;

const readShown = `Object.fromEntries([...document.querySelectorAll("#explorer [data-of]")].map((row) =>
  [row.dataset.of, [...(row.dataset.of === "chance" ? document.querySelectorAll("#explorer-chance data") : row.querySelectorAll("data"))].map((one) => Number(one.value))]))`;

/** The same numbers by the library. */
function byLibrary(model: OutcomeModel, settings: Settings): Shown {
  const [coupon] = foreseeCoupons(model, [settings]);
  const [chances] = conformance(model, [settings]);
  const specified = (name: string): boolean => {
    const { lower, upper } = model.definition.responses.find((one) => one.name === name)!.spec ?? {};
    return lower !== undefined || upper !== undefined;
  };
  return Object.fromEntries([
    ["chance", [chances!.chance, ...chances!.interval]],
    ...coupon!.responses.map(({ response, median, lower, upper }) => [
      response,
      [median, lower, upper, ...(specified(response) ? [chances!.perResponse[response]!] : [])],
    ]),
    ...Object.entries(coupon!.checks).map(([name, chance]) => [name, [chance]]),
  ]);
}

/** Sets one factor as a person does: a number typed, or a level chosen. */
async function set(
  page: Page,
  { factors }: StudyDefinition,
  [j, value]: readonly [number, number | string],
): Promise<void> {
  const factor = factors[j]!;
  const change =
    factor.kind === "category"
      ? `const e = document.getElementById("explorer-${j}"); e.value = "${factor.levels!.indexOf(value)}"`
      : `const e = document.getElementById("explorer-${j}-number"); e.value = "${value}"`;
  await page.run(`(() => { ${change}; e.dispatchEvent(new Event("input", { bubbles: true })); })()`);
}

async function checkNumbers(page: Page, model: OutcomeModel, faults: string[]): Promise<number> {
  const { definition } = model;
  const stream = randomStream(2026).split(definition.name);
  let worst = 0;
  for (let i = 0; i < SETTINGS; i++) {
    const settings = anySetting(definition, () => stream.uniform());
    for (const [j, { name }] of definition.factors.entries())
      await set(page, definition, [j, settings[name]!]);
    const shown = await page.run<Shown>(readShown);
    const expected = byLibrary(model, settings);
    for (const [name, values] of Object.entries(expected)) {
      const found = shown[name] ?? [];
      if (found.length !== values.length)
        faults.push(`${name}: shows ${found.length} numbers, expected ${values.length}`);
      values.forEach((value, k) => {
        const apart = Math.abs(found[k]! - value) / Math.max(1, Math.abs(value));
        if (!(apart <= CLOSE))
          faults.push(`${name} at ${JSON.stringify(settings)}: shows ${found[k]}, expected ${value}`);
        worst = Math.max(worst, apart);
      });
    }
  }
  return worst;
}

/** Sliders by the keyboard, the way back, numbers out of range, and the pictures that follow. */
async function checkHands(
  page: Page,
  { model, start }: { readonly model: OutcomeModel; readonly start: Settings },
  faults: string[],
): Promise<void> {
  const { axes } = makeExplorer(model);
  const j = axes.findIndex(
    ({ category, values, name }) => !category && values.indexOf(start[name]!) < values.length - 1,
  );
  const axis = axes[j]!;
  await page.run(`document.getElementById("explorer-back").click()`);
  const picture = (): Promise<string> => page.run(`document.getElementById("explorer-slices").innerHTML`);
  await page.until(
    `document.querySelectorAll("#explorer-slices svg").length === ${axes.filter(({ category }) => !category).length}`,
  );
  const before = await picture();
  await page.run(`document.getElementById("explorer-${j}").focus()`);
  await page.keys("ArrowRight");
  const next = axis.values[axis.values.indexOf(start[axis.name]!) + 1]!;
  const expected = byLibrary(model, { ...start, [axis.name]: next });
  const shown = await page.run<Shown>(readShown);
  if (!(Math.abs(shown.chance![0]! - expected.chance![0]!) <= CLOSE))
    faults.push(
      `an arrow key on the slider of ${axis.name} shows a chance of ${shown.chance![0]}, expected ${expected.chance![0]}`,
    );
  await page.until(
    `document.getElementById("explorer-slices").innerHTML !== ${JSON.stringify(before)}`,
    "the slices follow",
  );
  await set(page, model.definition, [j, axis.high + 1e6]);
  if (!(await page.text(`#explorer-${j}-fault`)).startsWith("Needs a number from"))
    faults.push("a number out of range is not refused");
  if ((await page.run<Shown>(readShown)).chance![0] !== shown.chance![0])
    faults.push("a refused number moved the explorer");
  await page.run(`document.getElementById("explorer-back").focus()`);
  await page.keys("Enter");
  const back = await page.run<Shown>(readShown);
  if (!(Math.abs(back.chance![0]! - byLibrary(model, start).chance![0]!) <= CLOSE))
    faults.push("the way back does not lead to the recommended setting");
  if ((await page.text(`#explorer-${j}-fault`)) !== "") faults.push("the refusal stays after the way back");
}

async function checkPage(
  page: Page,
  path: string,
  checked: { readonly name: string; readonly model: OutcomeModel; readonly start: Settings },
): Promise<readonly string[]> {
  const faults: string[] = [];
  const url = pathToFileURL(resolve(path)).href;
  await page.show({ width: 1280, scheme: "light" });
  page.browser.events.length = 0;
  await page.open(url);
  await page.until(`document.querySelector("#explorer-rows tr")`);
  const worst = await checkNumbers(page, checked.model, faults);
  await checkHands(page, checked, faults);
  for (const scheme of ["light", "dark"])
    for (const width of [390, 768, 1280, 1600]) {
      await page.show({ width, scheme });
      await page.run("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))");
      faults.push(...(await page.faults(axe)).map((fault) => `${scheme}, ${width} px: ${fault}`));
    }
  for (const { method, params } of page.browser.events) {
    if (method === "Runtime.exceptionThrown" || method === "Log.entryAdded")
      faults.push(JSON.stringify(params));
    if (method !== "Network.requestWillBeSent") continue;
    const asked = (params.request as { readonly url: string }).url;
    if (asked !== url && !asked.startsWith("data:")) faults.push(`fetches ${asked}`);
  }
  console.log(
    `explorer of ${checked.name}: ${SETTINGS} settings, largest difference ${worst.toExponential(1)}`,
  );
  return faults;
}

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { browser: { type: "string", default: "chromium" } },
  });
  const [report, folder] = positionals;
  if (report === undefined || folder === undefined)
    throw new Error("usage: explorer.ts report.html study-folder [--browser chromium]");
  const scratch = mkdtempSync(join(tmpdir(), "explorer-check-"));
  const page = await Page.start(values.browser);
  const faults: string[] = [];
  try {
    const model = buildOutcomeModel(outcomeData(openStudy(folder)));
    const own = /<script type="application\/json" id="explorer-data">.*?"start":(\{[^}]*\})/s.exec(
      readFileSync(report, "utf8"),
    )!;
    faults.push(...(await checkPage(page, report, { name: folder, model, start: JSON.parse(own[1]!) })));
    const hostile = exploredStudies[0]!;
    const other = buildOutcomeModel(hostile);
    const settings = makeExplorer(other).axes.map(({ name, unit, values: all }) => ({
      factor: name,
      unit,
      value: all[all.length >> 1]!,
    }));
    const data = explorerData(hostile, other, {
      best: { settings },
      level: 0.8,
      map: { x: { factor: settings[0]!.factor }, y: { factor: settings[1]!.factor } },
    });
    const path = join(scratch, "hostile.html");
    writeFileSync(
      path,
      await renderReport({
        title: hostile.name,
        cautions: [],
        sections: [{ heading: "Try settings", explorer: data }],
      }),
    );
    faults.push(...(await checkPage(page, path, { name: hostile.name, model: other, start: data.start })));
  } finally {
    await page.close();
    rmSync(scratch, { recursive: true, force: true });
  }
  for (const fault of faults) console.log(`  ${fault}`);
  if (faults.length > 0) process.exitCode = 1;
}

main().catch((error: Error) => {
  console.error(error.message);
  process.exitCode = 1;
});
