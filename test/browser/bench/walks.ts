import { appendEntries } from "../../../lib/study/index.js";
import { awayFromServer, noConnection, refusedLater } from "./offline-walks.js";
import { photo, section } from "./photo-walks.js";
import { entriesOf, serveStudy } from "./served.js";
import { couponIn, inJournal, loggedOf, typeDigits, type Work, wrong } from "./walk.js";

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

/** While the server searches the window of a journal that went on, it takes what is logged. */
const logsMeanwhile: Work = async ({ page, study }) => {
  appendEntries(study, [
    { kind: "logged", coupon: "C001", values: { spare_reading: 1 }, units: { spare_reading: "1" } },
  ]);
  const order = await page.run<readonly string[]>(`(async () => {
    const { home } = await (await fetch("/api/day")).json();
    const order = [];
    const standing = fetch("/api/standing").then(() => order.push("standing"));
    await new Promise((resolve) => setTimeout(resolve, 50));
    const form = new FormData();
    form.set("request", JSON.stringify({ id: "meanwhile", home, made: new Date().toISOString(), task: { kind: "note", text: "meanwhile" } }));
    await fetch("/api/task", { method: "POST", body: form }).then(() => order.push("logged"));
    await standing;
    return order;
  })()`);
  return wrong(order.join() !== "logged,standing", `answered in the order ${order.join(", ")}`);
};

/** Something typed is never lost by opening another coupon. */
const twoAtOnce: Work = async ({ page }) => {
  const first = await couponIn(page);
  await page.tap(".box");
  await typeDigits(page, "58");
  await page.tap("button.later");
  const second = await couponIn(page);
  const listed = await page.text(`[data-open=${first}]`);
  await page.tap(`[data-open=${first}]`);
  const value = await page.run<string>("document.querySelector('.box').value");
  await page.tap(".box");
  await page.keys("Backspace", "Backspace");
  return [
    ...wrong(second === first, "the other one did not open"),
    ...wrong(!listed.includes("begun, not saved yet"), `the list says ${listed}`),
    ...wrong(value !== "0.58", `the field has "${value}"`),
  ];
};

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
  ["opens the form of a kept entry that the journal refuses", refusedLater],
  ["takes an entry while the window is searched", logsMeanwhile],
  ["keeps what is begun when another coupon is opened", twoAtOnce],
  ["measures a drawn bead on a photo", photo],
  ["traces a section on it", section],
  ["measures, corrects and takes back without a connection", awayFromServer],
  ["wants a code at another address", code],
];
