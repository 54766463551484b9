import { ownValue } from "../../errors/index.js";
import type { BenchCoupon, BenchDay } from "../wire/index.js";
import { button, freshId, h } from "./dom.js";
import { keepCopy } from "./store.js";

/** Blocks such as day and cylinder that hold for every coupon of a day, once someone said so. */
interface Today {
  readonly home: string;
  readonly date: string;
  readonly blocks: Readonly<Record<string, string>>;
}

let held: Today | undefined;

const dateNow = (): string => new Date().toDateString();

/** Takes over what was said earlier today. */
export function resumeToday(kept: Today | undefined): void {
  held = kept;
}

const holds = (day: BenchDay): Today | undefined =>
  held?.home === day.home && held.date === dateNow() ? held : undefined;

/** The blocks a coupon is logged with: those said to hold today, where its plan does not name them. */
export function openToday(day: BenchDay, coupon: BenchCoupon): Readonly<Record<string, string>> {
  const blocks = holds(day)?.blocks ?? {};
  return Object.fromEntries(
    Object.entries(blocks).filter(([name]) => ownValue(coupon.blocks, name) === undefined),
  );
}

/** Says which blocks hold today; nothing where the study has none. */
export function todayPanel(day: BenchDay, changed: () => void): HTMLElement | undefined {
  if (day.blocks.length === 0) return undefined;
  const now = holds(day);
  if (now !== undefined) {
    const text = day.blocks
      .flatMap(({ name, label }) =>
        ownValue(now.blocks, name) === undefined ? [] : [`${label} ${ownValue(now.blocks, name)}`],
      )
      .join(", ");
    return h(
      "section",
      { class: "today", "aria-label": "Today" },
      h("p", {}, `Today: ${text === "" ? "no blocks named" : text}`),
      button(
        {
          class: "quiet",
          tap: () => {
            held = undefined;
            changed();
          },
        },
        "Change",
      ),
    );
  }
  const fields = day.blocks.map(({ name, label, last, suggested = "" }) => {
    const id = freshId("block");
    const input = h("input", { id, autocomplete: "off", value: suggested, maxlength: 40 });
    const before = last !== undefined && last !== suggested && h("small", {}, `last coupon: ${last}`);
    return { name, input, row: h("div", {}, h("label", { for: id }, label), input, before) };
  });
  const confirm = (): void => {
    const said = fields.map(({ name, input }) => [name, input.value.trim()] as const);
    held = {
      home: day.home,
      date: dateNow(),
      blocks: Object.fromEntries(said.filter(([, value]) => value !== "")),
    };
    void keepCopy("today", held);
    changed();
  };
  return h(
    "section",
    { class: "today asking", "aria-labelledby": "today" },
    h("h2", { id: "today" }, "What holds today?"),
    h(
      "p",
      { class: "hint" },
      "Taken from the last coupon. Coupons are logged without these until you say so.",
    ),
    h("div", { class: "blocks" }, ...fields.map(({ row }) => row)),
    button({ class: "go", tap: confirm }, "This holds today"),
  );
}

export type { Today };
