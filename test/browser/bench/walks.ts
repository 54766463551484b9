import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { appendEntries, type Entry, type LoggedBody } from "../../../lib/study/index.js";
import type { Page } from "../page.js";
import { drawnBead } from "./drawn-bead.js";
import { png } from "./drawn-photo.js";
import { entriesOf, serveStudy } from "./served.js";
import type { Walk } from "./walk.js";

/** Looks for what is wrong; an empty list is good. */
type Work = (walk: Walk) => Promise<readonly string[]>;

const wrong = (isWrong: boolean, message: string): readonly string[] => (isWrong ? [message] : []);

/** The coupon in the form. */
const couponIn = (page: Page): Promise<string> =>
  page.run<string>("document.querySelector('.card.open').dataset.coupon");

const loggedOf = ({ study }: Walk, coupon: string): readonly Entry<LoggedBody>[] =>
  entriesOf(study).filter(
    (entry): entry is Entry<LoggedBody> => entry.kind === "logged" && entry.coupon === coupon,
  );

async function typeDigits(page: Page, digits: string): Promise<void> {
  for (const digit of digits) await page.tap(`.pad-key[data-key="${digit}"]`);
}

const inJournal = (page: Page, coupon: string): Promise<void> =>
  page.until(
    `document.querySelector('.said')?.innerText.includes(${JSON.stringify(`${coupon} is in the journal`)})`,
  );

const today: Work = async ({ page }) => {
  await page.until("document.querySelector('.today .go') !== null");
  await page.tap(".today .go");
  return wrong(!(await page.text(".today")).includes("Day 5"), "the day after the last one is not offered");
};

/** Three readings of the width, both verdicts: at most 12 taps, save included. */
const threeReadings: Work = async (walk) => {
  const { page } = walk;
  const coupon = await couponIn(page);
  await page.until("document.querySelector('.pad:not([hidden])') !== null");
  page.taps = 0;
  await typeDigits(page, "593588601");
  await page.tap(".verdict.pass");
  await page.tap("[data-verdict=sound_bead-pass]");
  await page.tap(".card.open > .go");
  const { taps } = page;
  console.log(`      one coupon with three readings: ${taps} taps`);
  await inJournal(page, coupon);
  await page.until(`document.querySelector('[data-lesson=${coupon}]') !== null`, "what it taught is told");
  const [entry] = loggedOf(walk, coupon);
  return [
    ...wrong(taps > 12, `${taps} taps, at most 12 are wanted`),
    ...wrong(
      JSON.stringify(entry?.readings) !== '{"bead_width":[5.93,5.88,6.01]}',
      `the journal has ${JSON.stringify(entry?.readings)}`,
    ),
    ...wrong(
      entry?.values.smooth_feed !== true || entry.values.sound_bead !== true || entry.values.day !== "5",
      `the journal has ${JSON.stringify(entry?.values)}`,
    ),
    ...wrong(entry?.request === undefined, "the entry does not carry the request's name"),
  ];
};

const refusedBeside: Work = async (walk) => {
  const { page, study } = walk;
  const before = entriesOf(study).length;
  await page.tap(".box");
  await page.keys("-", "5", "Enter");
  await page.tap(".card.open > .go");
  await page.until("document.querySelector('.reading .fault:not([hidden])') !== null");
  const told = await page.text(".reading .fault:not([hidden])");
  const focused = await page.run<string>("document.activeElement?.dataset?.column ?? ''");
  await page.keys("Backspace", "Backspace", "Backspace");
  await page.tap(".box");
  await page.keys("Backspace", "Backspace", "Backspace");
  return [
    ...wrong(!/cannot be below 0, got -/.test(told), `the field says "${told}"`),
    ...wrong(focused !== "bead_width", `the focus is on "${focused}"`),
    ...wrong(entriesOf(study).length !== before, "something was written"),
  ];
};

/** From the top of the page to a saved coupon without a pointer. */
const keyboardAlone: Work = async (walk) => {
  const { page } = walk;
  await page.reload();
  await page.until("document.querySelector('.box') !== null");
  const coupon = await couponIn(page);
  const tabTo = async (test: string): Promise<void> => {
    for (let k = 0; k < 80; k++) {
      if (await page.run<boolean>(`document.activeElement?.matches(${JSON.stringify(test)}) ?? false`))
        return;
      await page.keys("Tab");
    }
    throw new Error(`the keyboard does not reach ${test}`);
  };
  await tabTo("[data-column=bead_width]");
  await page.keys("6", ",", "1", "Enter", "5", "9", "0");
  await tabTo("[data-verdict=sound_bead-pass]");
  await page.keys("Space");
  await tabTo(".card.open > .go");
  await page.keys("Enter");
  await inJournal(page, coupon);
  const [entry] = loggedOf(walk, coupon);
  return wrong(
    JSON.stringify(entry?.readings) !== '{"bead_width":[6.1,5.9]}' || entry?.values.sound_bead !== true,
    `the journal has ${JSON.stringify([entry?.readings, entry?.values])}`,
  );
};

const incidentAndChange: Work = async (walk) => {
  const { page, study } = walk;
  const coupon = await couponIn(page);
  page.taps = 0;
  await page.tap(".wrong");
  await page.tap("[data-what=wire_stuck]");
  const incidentTaps = page.taps;
  await page.until("document.querySelector('.said')?.innerText.includes('Wire stuck')");
  page.taps = 0;
  await page.tap(".changed");
  await page.tap("[data-what=tungsten]");
  const changeTaps = page.taps;
  await page.until("document.querySelector('.said')?.innerText.includes('Tungsten changed')");
  const [incident, change] = entriesOf(study).slice(-2);
  await page.tap(".said button", "Take back");
  await page.until("document.querySelector('.said')?.innerText.includes('Taken back')");
  const last = entriesOf(study).at(-1);
  return [
    ...wrong(
      incidentTaps !== 2 || changeTaps !== 2,
      `${incidentTaps} and ${changeTaps} taps, two are wanted`,
    ),
    ...wrong(
      incident?.kind !== "incident" || incident.what !== "wire_stuck" || incident.coupon !== coupon,
      `the journal has ${JSON.stringify(incident)}`,
    ),
    ...wrong(
      change?.kind !== "change" || change.before !== coupon,
      `the journal has ${JSON.stringify(change)}`,
    ),
    ...wrong(
      last?.kind !== "voided" || last.entry !== change?.seq,
      `the change was not taken back by a void: ${JSON.stringify(last)}`,
    ),
  ];
};

/** Logged without a connection, kept over a reload, sent once when it is back, though the server was started anew. */
const noConnection: Work = async (walk) => {
  const { page, study } = walk;
  await page.until("navigator.serviceWorker.controller !== null", "the page is kept for a reload");
  const before = entriesOf(study).length;
  const coupon = await couponIn(page);
  const { port } = new URL(walk.served.url);
  await walk.served.stop();
  await page.tap(".box");
  await typeDigits(page, "600");
  await page.tap("[data-verdict=sound_bead-fail]");
  await page.tap(".card.open > .go");
  await page.until("document.querySelector('.status')?.innerText.includes('1 entry kept on this device')");
  const next = await couponIn(page);
  await page.reload();
  await page.until(
    "document.querySelector('.status')?.innerText.includes('1 entry kept on this device')",
    "it is kept over a reload",
  );
  await page.until("document.querySelector('.card.open') !== null");
  const afterReload = await couponIn(page);
  walk.served = await serveStudy(study, "--port", port);
  await page.until("document.querySelector('.status.on') !== null", "it is sent when the connection is back");
  const logged = loggedOf(walk, coupon);
  const again = await page.run<readonly { readonly repeated: boolean }[]>(
    sendTwice(logged[0]?.request ?? "", coupon),
  );
  return [
    ...wrong(next === coupon || afterReload !== next, "the coupon kept here is offered again"),
    ...wrong(logged.length !== 1, `the journal has it ${logged.length} times`),
    ...wrong(
      again.some(({ repeated }) => !repeated),
      `sent again, it was taken: ${JSON.stringify(again)}`,
    ),
    ...wrong(
      entriesOf(study).length !== before + 1,
      `${entriesOf(study).length - before} entries were written`,
    ),
  ];
};

/** Posts a request that the journal has, twice at once, as a page does whose answer was lost. */
function sendTwice(id: string, coupon: string): string {
  const request = `{ id: ${JSON.stringify(id)}, home, made: new Date().toISOString(), task: { kind: "coupon", coupon: ${JSON.stringify(coupon)}, values: { bead_width: 6 }, readings: {} } }`;
  return `(async () => {
    const { home } = await (await fetch("/api/day")).json();
    const post = async () => {
      const form = new FormData();
      form.set("request", JSON.stringify(${request}));
      return (await fetch("/api/task", { method: "POST", body: form })).json();
    };
    return Promise.all([post(), post()]);
  })()`;
}

/** Kept without a connection, while the command line logged the same coupon: it is told, not lost, and may be dropped. */
const refusedLater: Work = async ({ page, study }) => {
  await page.until("document.querySelector('.status.on') !== null");
  const coupon = await couponIn(page);
  await page.offline(true);
  await page.tap(".box");
  await typeDigits(page, "611");
  await page.tap(".card.open > .go");
  await page.until("document.querySelector('.status')?.innerText.includes('1 entry kept on this device')");
  appendEntries(study, [{ kind: "logged", coupon, values: { bead_width: 5.7 } }]);
  const before = entriesOf(study).length;
  await page.offline(false);
  await page.until("document.querySelector('.refused') !== null", "the refusal is told");
  const told = await page.text(".refused");
  await page.tap(".refused button", "Drop it");
  await page.until("document.querySelector('.refused') === null");
  await page.until(
    `document.querySelector('.card.open')?.dataset.coupon !== "${coupon}"`,
    "the next one is offered",
  );
  return [
    ...wrong(!/6\.11[\s\S]*has bead_width = 5\.7 already/.test(told), `told: ${told}`),
    ...wrong(entriesOf(study).length !== before, "something was written"),
  ];
};

/** A drawn bead of known width, its points set by dragging, and logged with its photo. */
const photo: Work = async (walk) => {
  const { page, study } = walk;
  const coupon = await couponIn(page);
  const file = join(study.folder, "..", "bead.png");
  writeFileSync(file, png(drawnBead.width, drawnBead.height, drawnBead.brightness));
  await page.tap(".top .quiet");
  await page.choose(".measure input[type=file]", file);
  await page.until("document.querySelectorAll('.handle').length === 10");
  for (const [label, at] of Object.entries(drawnBead.marks)) await dragTo(page, label, at);
  await page.run(
    `(() => { const [length] = document.querySelectorAll('.fields input'); length.value = "${drawnBead.scale}"; length.dispatchEvent(new Event("input")); })()`,
  );
  const told = await page.text(".found");
  await page.tap(".measure .go");
  await page.until("document.querySelector('.said')?.innerText.includes('from the photo is in the journal')");
  const [entry] = loggedOf(walk, coupon);
  const attached = entriesOf(study).findLast(({ kind }) => kind === "attached");
  const widths = entry?.readings?.bead_width ?? [];
  const error = Number(/± (\d+\.\d+)/.exec(told)?.[1]);
  const file2 = attached?.kind === "attached" ? join(study.folder, "attachments", attached.file) : file;
  const digest = createHash("sha256").update(readFileSync(file2)).digest("hex");
  return [
    ...wrong(widths.length !== 3, `the journal has ${JSON.stringify(entry?.readings)}`),
    ...wrong(
      widths.some((width) => Math.abs(width - drawnBead.bead) > error),
      `${widths.join(", ")} mm, drawn with ${drawnBead.bead} mm, said to be within ${error} mm`,
    ),
    ...wrong(!(error > 0 && error < 0.5), `said to be within ${error} mm: ${told}`),
    ...wrong(
      attached?.kind !== "attached" || attached.coupon !== coupon || attached.sha256 !== digest,
      `the photo is attached as ${JSON.stringify(attached)}`,
    ),
    ...wrong(attached?.request !== entry?.request, "photo and reading were not written together"),
  ];
};

async function dragTo(
  page: Page,
  label: string,
  at: { readonly x: number; readonly y: number },
): Promise<void> {
  const handle = `document.querySelector('[aria-label="${label}"]')`;
  const places = await page.run<readonly [{ x: number; y: number }, { x: number; y: number }]>(`(() => {
    const handle = ${handle};
    handle.scrollIntoView({ block: "center" });
    const box = handle.getBoundingClientRect();
    const picture = document.querySelector(".picture img").getBoundingClientRect();
    const scale = picture.width / ${drawnBead.width};
    return [
      { x: box.left + box.width / 2, y: box.top + box.height / 2 },
      { x: picture.left + scale * ${at.x}, y: picture.top + scale * ${at.y} },
    ];
  })()`);
  await page.press(places[0]);
  await page.mouse("mouseMoved", places[1]);
  await page.release(places[1]);
}

/** A section traced by taps, under a rectangle for scale: its area is that of the bead between the points. */
const section: Work = async (walk) => {
  const { page } = walk;
  await page.until("document.querySelector('.measure') === null");
  await page.tap(".top .quiet");
  await page.choose(".measure input[type=file]", join(walk.study.folder, "..", "bead.png"));
  await page.until("document.querySelectorAll('.handle').length === 10");
  await page.tap(".choice", "Known rectangle");
  await page.tap(".choice", "Section");
  await page.until("document.querySelectorAll('.handle').length === 4");
  for (const [x, y] of [
    [340, 150],
    [460, 150],
    [460, 400],
    [340, 400],
  ] as const)
    await tapPicture(page, { x, y });
  const places = {
    "upper left": [100, 90],
    "upper right": [700, 90],
    "lower right": [700, 490],
    "lower left": [100, 490],
  };
  for (const [name, [x, y]] of Object.entries(places))
    await dragTo(page, `Rectangle, ${name}`, { x: x!, y: y! });
  await page.run(
    `[...document.querySelectorAll(".fields input")].slice(0, 2).forEach((input, k) => { input.value = ["30", "20"][k]; input.dispatchEvent(new Event("input")); })`,
  );
  const told = await page.text(".found");
  const [area, error] = (/([\d.]+) ± ([\d.]+) mm2/.exec(told) ?? []).slice(1).map(Number);
  await page.tap(".measure > .quiet");
  // 120 by 250 px, of which 20 are a millimetre: 6 by 12.5 mm.
  return wrong(!(Math.abs(area! - 75) < error! && error! < 4), `75 mm2 are drawn: ${told}`);
};

async function tapPicture(page: Page, at: { readonly x: number; readonly y: number }): Promise<void> {
  const place = await page.run<{ readonly x: number; readonly y: number }>(`(() => {
    const image = document.querySelector(".picture img");
    image.scrollIntoView({ block: "center" });
    const box = image.getBoundingClientRect();
    const scale = box.width / ${drawnBead.width};
    return { x: box.left + scale * ${at.x}, y: box.top + scale * ${at.y} };
  })()`);
  await page.press(place);
  await page.release(place);
}

/** From another address the page wants the code that the terminal shows, and logs like the other. */
const code: Work = async ({ page, study }) => {
  const served = await serveStudy(study, "--port", "0", "--host", "127.0.0.2");
  try {
    const before = entriesOf(study).length;
    await page.open(served.url);
    const asked = await page.text("main");
    await page.run("document.querySelector('#code').focus()");
    await page.keys(..."00000000", "Enter");
    await page.until("document.querySelector('#fault') !== null", "a wrong code is told");
    const [shown] = /\d{8}/.exec(served.notes()) ?? [""];
    await page.run("document.querySelector('#code').focus()");
    await page.keys(...shown, "Enter");
    await page.until("document.querySelector('.card.open') !== null", "the code opens the bench");
    await page.tap(".changed");
    await page.tap("[data-what=nozzle]");
    await page.until("document.querySelector('.said')?.innerText.includes('in the journal')");
    return [
      ...wrong(!asked.includes("code of eight digits"), `asked: ${asked}`),
      ...wrong(entriesOf(study).length !== before + 1, "nothing was logged"),
    ];
  } finally {
    await served.stop();
  }
};

/** What is tried, in order; each goes on where the one before ended. */
export const walks: readonly (readonly [string, Work])[] = [
  ["says what holds today", today],
  ["logs three readings in few taps", threeReadings],
  ["refuses a bad value beside its field", refusedBeside],
  ["logs by the keyboard alone", keyboardAlone],
  ["tells an incident and a change in two taps, and takes one back", incidentAndChange],
  ["keeps what is logged without a connection and sends it once", noConnection],
  ["tells a kept entry that the journal refuses", refusedLater],
  ["measures a drawn bead on a photo", photo],
  ["traces a section on it", section],
  ["wants a code at another address", code],
];
