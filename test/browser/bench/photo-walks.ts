import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Study } from "../../../lib/study/index.js";
import type { Page } from "../page.js";
import { drawnBead } from "./drawn-bead.js";
import { png } from "./drawn-photo.js";
import { entriesOf } from "./served.js";
import { couponIn, loggedOf, type Work, wrong } from "./walk.js";

/** The drawn bead as a file beside the study. */
export function beadPicture(study: Study): string {
  const file = join(study.folder, "..", "bead.png");
  writeFileSync(file, png(drawnBead.width, drawnBead.height, drawnBead.brightness));
  return file;
}

/** Sets the points of a photo of the drawn bead. */
export async function measureBead(page: Page, study: Study): Promise<void> {
  await page.tap(".top .quiet");
  await page.choose(".measure input[type=file]", beadPicture(study));
  await page.until("document.querySelectorAll('.handle').length === 10");
  for (const [label, at] of Object.entries(drawnBead.marks)) await dragTo(page, label, at);
  await page.run(
    `(() => { const [length] = document.querySelectorAll('.fields input'); length.value = "${drawnBead.scale}"; length.dispatchEvent(new Event("input")); })()`,
  );
}

/** A drawn bead of known width, its points set by dragging, and logged with its photo. */
export const photo: Work = async (walk) => {
  const { page, study } = walk;
  const coupon = await couponIn(page);
  await measureBead(page, study);
  const told = await page.text(".found");
  await page.tap(".measure .go");
  await page.until("document.querySelector('.said')?.innerText.includes('from the photo is in the journal')");
  const [entry] = loggedOf(walk, coupon);
  const attached = entriesOf(study).findLast(({ kind }) => kind === "attached");
  const widths = entry?.readings?.bead_width ?? [];
  const error = Number(/± (\d+\.\d+)/.exec(told)?.[1]);
  const file2 = attached?.kind === "attached" ? join(study.folder, "attachments", attached.file) : "";
  const digest = createHash("sha256")
    .update(file2 === "" ? "" : readFileSync(file2))
    .digest("hex");
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
export const section: Work = async (walk) => {
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
