import { percent } from "../../numeric/format/index.js";
import type { BenchLesson, BenchStanding } from "../wire/index.js";
import { h } from "./dom.js";

const words = {
  expected: "as expected",
  unlikely: "possible, not likely",
  suspect: "suspect",
  new: "nothing foreseen",
} as const;

/** What the last coupon taught. */
export function lessonView({ coupon, headline, suspect, parts }: BenchLesson): HTMLElement {
  return h(
    "section",
    { class: suspect ? "lesson suspect" : "lesson", "aria-labelledby": "lesson", "data-lesson": coupon },
    h("h2", { id: "lesson" }, headline),
    h(
      "ul",
      {},
      ...parts.map(({ label, found, foreseen, verdict, advice }) =>
        h(
          "li",
          { class: verdict },
          h("strong", {}, `${label} ${found}`),
          h(
            "span",
            {},
            foreseen === undefined ? ` — ${words[verdict]}` : ` — ${words[verdict]}; foreseen ${foreseen}`,
          ),
          advice !== undefined && h("p", { class: "advice" }, advice),
        ),
      ),
    ),
  );
}

/** The best setting known and the window about it. */
export function standingView(standing: BenchStanding, before: number | undefined): HTMLElement {
  const { best, chanceText, ranges, window, coupons, remarks, chance, nothingAsked } = standing;
  if (nothingAsked !== undefined)
    return h(
      "section",
      { class: "standing", "aria-labelledby": "standing" },
      h("h2", { id: "standing" }, "Best setting so far"),
      h("p", { class: "remark" }, nothingAsked),
    );
  const moved =
    before === undefined || percent(before) === percent(chance)
      ? undefined
      : `The last coupon moved it from ${percent(before)} to ${percent(chance)}.`;
  return h(
    "section",
    { class: "standing", "aria-labelledby": "standing" },
    h("h2", { id: "standing" }, "Best setting so far"),
    h(
      "dl",
      { class: "best" },
      ...best.map(({ label, text }, k) =>
        h("div", {}, h("dt", {}, label), h("dd", {}, h("strong", {}, text), h("small", {}, ranges[k]?.text))),
      ),
    ),
    h("p", {}, `Chance that a coupon comes out good: ${chanceText}, from ${coupons} coupons.`),
    moved !== undefined && h("p", {}, moved),
    h("p", {}, window),
    ...remarks.map((text) => h("p", { class: "remark" }, text)),
  );
}
