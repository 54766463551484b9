import { appendEntries } from "../../../lib/study/index.js";
import { beadPicture, measureBead } from "./photo-walks.js";
import { entriesOf, serveStudy } from "./served.js";
import { couponIn, inJournal, loggedOf, typeDigits, type Work, wrong } from "./walk.js";

/** Logged without a connection, kept over a reload, sent once when it is back, though the server was started anew. */
export const noConnection: Work = async (walk) => {
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

/**
 * Kept without a connection, while the command line logged the same coupon: its form opens again with all that was typed
 * and the reason beside the field, also after the page was closed, and the rest is logged once that is mended.
 */
export const refusedLater: Work = async (walk) => {
  const { page, study } = walk;
  await page.until("document.querySelector('.status.on') !== null");
  const coupon = await couponIn(page);
  await page.offline(true);
  await page.tap(".box");
  await typeDigits(page, "611");
  await page.tap("[data-verdict=sound_bead-pass]");
  await page.run("document.querySelector('.extras textarea').value = 'a kink in the wire'");
  await page.choose(".extras input[type=file]", beadPicture(study));
  await page.tap(".card.open > .go");
  await page.until("document.querySelector('.status')?.innerText.includes('1 entry kept on this device')");
  appendEntries(study, [{ kind: "logged", coupon, values: { bead_width: 5.7 } }]);
  const before = entriesOf(study).length;
  await page.offline(false);
  const reopened = `document.querySelector('[data-coupon=${coupon}] .reading .fault:not([hidden])') !== null`;
  await page.until(reopened, "the form is opened again");
  await page.reload();
  await page.until(reopened, "the form is opened again after the page was closed");
  const told = await page.text(".reading .fault:not([hidden])");
  const value = await page.run<string>("document.querySelector('.box').value");
  const untouched = entriesOf(study).length === before;
  // Another coupon in between: the refused one waits in the list.
  await page.tap("button.later");
  await page.tap(".refused button", "Mend it");
  await page.until(reopened);
  await page.tap(".box");
  await page.keys("Backspace", "Backspace", "Backspace", "Backspace");
  await page.tap(".card.open > .go");
  await inJournal(page, coupon);
  await page.until("document.querySelector('.refused') === null");
  const [attached, logged] = entriesOf(study)
    .slice(before)
    .filter(({ kind }) => kind !== "note");
  return [
    ...wrong(!/has bead_width = 5\.7 already/.test(told) || value !== "6.11", `${value}: ${told}`),
    ...wrong(!untouched, "something was written"),
    ...wrong(
      logged?.kind !== "logged" ||
        logged.values.sound_bead !== true ||
        logged.values.bead_width !== undefined ||
        logged.note !== "a kink in the wire",
      `the journal has ${JSON.stringify(logged)}`,
    ),
    ...wrong(
      attached?.kind !== "attached" || attached.coupon !== coupon,
      `the photo is attached as ${JSON.stringify(attached)}`,
    ),
  ];
};

/** Without a connection: a bead on a photo with its verdict after it, a correction, and coupons taken back. */
export const awayFromServer: Work = async (walk) => {
  const { page, study } = walk;
  const before = entriesOf(study).length;
  const kept = (count: number): Promise<void> =>
    page.until(`document.querySelector('.status')?.innerText.includes('${count} entries kept')`);
  const said = (text: string): Promise<void> =>
    page.until(`document.querySelector('.said')?.innerText.includes('${text}')`);
  await page.tap("button.later");
  await page.offline(true);
  const onPhoto = await couponIn(page);
  await measureBead(page, study);
  await page.tap(".measure .go");
  await said("is kept on this device");
  await page.tap("[data-verdict=sound_bead-pass]");
  await page.tap(".card.open > .go");
  await kept(2);
  await page.until(`document.querySelector('.card.open')?.dataset.coupon !== "${onPhoto}"`);
  const back = await couponIn(page);
  await page.tap("[data-verdict=sound_bead-fail]");
  await page.tap(".card.open > .go");
  await said(`${back} is kept on this device`);
  await page.tap(".said button", "Take back");
  await said("is taken back when there is a connection");
  const again = await couponIn(page);
  const [mended, voided] = ["C040", "C039"];
  await page.tap(`[data-logged=${mended}] summary`);
  await page.tap(`[data-logged=${mended}] .row button`, "Correct");
  await page.tap(".box");
  await typeDigits(page, "588");
  await page.tap(".card.open > .go");
  await said(`${mended} is kept on this device`);
  await page.tap(`[data-logged=${voided}] summary`);
  await page.tap(`[data-logged=${voided}] .row button`, "Take back");
  await page.tap(`[data-logged=${voided}] .row button`, "Really take");
  await kept(6);
  await page.offline(false);
  await page.until("document.querySelector('.status.on') !== null", "all of it is sent");
  const refused = await page.text(".refused, .card.open .fault:not([hidden])");
  const written = entriesOf(study).slice(before);
  const kinds = written.map(({ kind, ...body }) => `${kind} ${"coupon" in body ? body.coupon : ""}`.trim());
  const wanted = [
    `attached ${onPhoto}`,
    `logged ${onPhoto}`,
    `logged ${onPhoto}`,
    `logged ${back}`,
    "voided",
    "corrected",
    "voided",
  ];
  return [
    ...wrong(refused !== "", `refused: ${refused}`),
    ...wrong(again !== back, `${back} was taken back, and ${again} is offered`),
    ...wrong(kinds.join(", ") !== wanted.join(", "), `the journal has ${kinds.join(", ")}`),
  ];
};
