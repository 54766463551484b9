import type { BenchCoupon, BenchDay } from "../wire/index.js";
import type { Current } from "./current.js";
import { button, h } from "./dom.js";
import { giveUp, type Said, state } from "./state.js";
import { mendableCoupon } from "./typed-before.js";

/** Coupons to come but the one in the form, each of which may be taken next. */
export function plannedList(all: readonly BenchCoupon[], current: Current): HTMLElement | undefined {
  const planned = all.filter(({ id }) => id !== current.coupon());
  if (planned.length === 0) return undefined;
  return h(
    "section",
    { class: "planned", "aria-labelledby": "planned" },
    h("h2", { id: "planned" }, "Then, in run order"),
    h(
      "ol",
      {},
      ...planned.map((coupon) =>
        h(
          "li",
          {},
          button(
            { class: "card later", "data-open": coupon.id, tap: () => current.choose(coupon.id) },
            h("b", {}, coupon.id),
            h("span", {}, coupon.settings.map(({ text }) => text).join(" · ")),
            current.remark(coupon.id) !== undefined && h("small", {}, current.remark(coupon.id)),
          ),
        ),
      ),
    ),
  );
}

/** What may be done with a coupon that was logged. */
export interface LoggedActions {
  add(coupon: BenchCoupon): void;
  mend(coupon: BenchCoupon): void;
  takeBack(coupon: BenchCoupon): void;
  learn(coupon: BenchCoupon): void;
}

/** Coupons logged last. */
export function loggedList(logged: readonly BenchCoupon[], actions: LoggedActions): HTMLElement | undefined {
  if (logged.length === 0) return undefined;
  return h(
    "section",
    { class: "logged", "aria-labelledby": "logged" },
    h("h2", { id: "logged" }, "Logged last"),
    ...logged.map((coupon) => loggedCard(coupon, actions)),
  );
}

function loggedCard(coupon: BenchCoupon, actions: LoggedActions): HTMLElement {
  const { id, results, notes, photos, settings } = coupon;
  const back = button(
    { class: "quiet", tap: () => (back.dataset.sure === undefined ? arm() : actions.takeBack(coupon)) },
    "Take back",
  );
  const arm = (): void => {
    back.dataset.sure = "";
    back.textContent = `Really take ${id} back`;
  };
  return h(
    "details",
    { class: "card done", "data-logged": id },
    h(
      "summary",
      {},
      h("b", {}, id),
      " ",
      h("span", {}, results.map(({ label, text }) => `${label} ${text}`).join(" · ") || "no result"),
    ),
    h("p", { class: "hint" }, settings.map(({ label, text }) => `${label} ${text}`).join(", ")),
    ...notes.map((text) => h("p", { class: "note" }, text)),
    photos.length > 0 && h("p", { class: "hint" }, `Photos in attachments: ${photos.join(", ")}`),
    h(
      "div",
      { class: "row" },
      button({ tap: () => actions.learn(coupon) }, "What it taught"),
      button({ tap: () => actions.add(coupon) }, "Add to it"),
      button({ tap: () => actions.mend(coupon) }, "Correct"),
      coupon.entry !== undefined && back,
    ),
  );
}

/** Requests that the server refused after they were kept for a while, but the one whose form is open. */
export function refusedList(day: BenchDay, current: Current): HTMLElement | undefined {
  const refused = state.waiting.filter(
    (kept) => kept.refused !== undefined && kept.place !== current.mending(),
  );
  if (refused.length === 0) return undefined;
  return h(
    "section",
    { class: "refused", "aria-labelledby": "refused" },
    h("h2", { id: "refused" }, "Not taken into the journal"),
    ...refused.map((kept) => {
      const { place, request, refused: why } = kept;
      const { task } = request;
      return h(
        "div",
        { class: "card" },
        h("p", {}, h("b", {}, "coupon" in task ? `${task.coupon ?? ""} ` : ""), typedIn(task)),
        h("p", { class: "fault" }, [why!.message, ...why!.faults.map(({ message }) => message)].join(" ")),
        h(
          "div",
          { class: "row" },
          mendableCoupon(day, kept) !== undefined &&
            button({ tap: () => current.mend(kept) }, "Mend it in its form"),
          button({ class: "quiet", tap: () => void giveUp(place) }, "Drop it, I have logged it otherwise"),
        ),
      );
    }),
  );
}

/** What a task held, so that it can be logged again. */
function typedIn(task: object): string {
  const {
    values = {},
    readings = {},
    what = "",
    text = "",
  } = task as {
    readonly values?: object;
    readonly readings?: Readonly<Record<string, readonly number[]>>;
    readonly what?: string;
    readonly text?: string;
  };
  return [
    ...Object.entries({ ...values }).map(([name, value]) => `${name} ${String(value)}`),
    ...Object.entries(readings).map(([name, list]) => `${name} ${list.join(", ")}`),
    what,
    text,
  ]
    .filter((part) => part !== "")
    .join("; ");
}

/** The last word said, with what takes it back. */
export function saidView({ text, warnings, undo }: Said, takeBack: (request: string) => void): HTMLElement {
  return h(
    "div",
    { class: warnings.length > 0 ? "said odd" : "said" },
    h("p", {}, text),
    ...warnings.map((warning) => h("p", { class: "warning" }, `Mind: ${warning}`)),
    undo !== undefined && button({ tap: () => takeBack(undo) }, "Take back"),
  );
}
