import { ownValue } from "../../../errors/index.js";
import type { BenchCoupon, BenchDay } from "../../wire/index.js";
import { fill, freshId, h } from "../dom.js";
import { state } from "../state.js";

/** What a measurement is logged as. */
export interface Target {
  readonly element: HTMLElement;
  /** Offers what a length or an area can be. */
  show(kind: "length" | "area"): void;
  /** Looks anew whether the value is there already. */
  look(): void;
  chosen():
    | {
        readonly coupon: string;
        readonly column: string;
        readonly corrects: boolean;
        /** The coupon where nothing was logged of it yet. */
        readonly planned: BenchCoupon | undefined;
      }
    | undefined;
}

/** A column for what the study does not name. */
const ownColumn = { length: "photo_length", area: "section_area" } as const;

/** Chooses coupon and column; says where the value is there already and would be corrected. */
export function makeTarget(day: BenchDay, coupon: string | undefined): Target {
  // The journal may go on while points are set.
  const now = (): BenchDay => state.day ?? day;
  const couponAt = freshId("coupon");
  const columnAt = freshId("column");
  const which = h(
    "select",
    { id: couponAt },
    ...[...day.planned, ...day.logged].map(({ id }) =>
      h("option", { value: id, selected: id === coupon }, id),
    ),
  );
  const column = h("select", { id: columnAt });
  const mind = h("p", { class: "remark", hidden: true });
  const corrects = (): boolean =>
    (ownValue(now().logged.find(({ id }) => id === which.value)?.readings, column.value)?.length ?? 0) > 0;
  const look = (): void => {
    mind.hidden = !corrects();
    mind.textContent = `${which.value} has this already: the journal keeps both, and the photo counts from now on.`;
  };
  which.addEventListener("change", look);
  column.addEventListener("change", look);
  return {
    element: h(
      "div",
      { class: "fields" },
      h("div", {}, h("label", { for: couponAt }, "Coupon"), which),
      h("div", {}, h("label", { for: columnAt }, "Log as"), column),
      mind,
    ),
    look,
    show(kind) {
      const fitting = day.measured.filter(({ photo }) => photo === kind);
      const own = ownColumn[kind];
      fill(
        column,
        ...fitting.map(({ name, label }) => h("option", { value: name }, label)),
        h("option", { value: own }, `${own} (a column of its own)`),
      );
      look();
    },
    chosen: () =>
      which.value === "" || column.value === ""
        ? undefined
        : {
            coupon: which.value,
            column: column.value,
            corrects: corrects(),
            planned: now().planned.find(({ id }) => id === which.value),
          },
  };
}
