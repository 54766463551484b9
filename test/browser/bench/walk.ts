import type { Entry, LoggedBody, Study } from "../../../lib/study/index.js";
import type { Page } from "../page.js";
import { entriesOf, type Served } from "./served.js";

/** What a walk through the page has at hand. */
export interface Walk {
  readonly page: Page;
  readonly study: Study;
  /** The program that serves it; a walk may start it anew. */
  served: Served;
}

/** Looks for what is wrong; an empty list is good. */
export type Work = (walk: Walk) => Promise<readonly string[]>;

export const wrong = (isWrong: boolean, message: string): readonly string[] => (isWrong ? [message] : []);

/** The coupon in the form. */
export const couponIn = (page: Page): Promise<string> =>
  page.run<string>("document.querySelector('.card.open').dataset.coupon");

export const loggedOf = ({ study }: Walk, coupon: string): readonly Entry<LoggedBody>[] =>
  entriesOf(study).filter(
    (entry): entry is Entry<LoggedBody> => entry.kind === "logged" && entry.coupon === coupon,
  );

export async function typeDigits(page: Page, digits: string): Promise<void> {
  for (const digit of digits) await page.tap(`.pad-key[data-key="${digit}"]`);
}

export const inJournal = (page: Page, coupon: string): Promise<void> =>
  page.until(
    `document.querySelector('.said')?.innerText.includes(${JSON.stringify(`${coupon} is in the journal`)})`,
  );
