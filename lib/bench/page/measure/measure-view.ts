import type { BenchDay } from "../../wire/index.js";
import { button, h } from "../dom.js";

/** Measures a bead on a photo. */
export function measureView({
  close,
}: {
  readonly day: BenchDay;
  readonly coupon: string | undefined;
  readonly close: () => void;
}): HTMLElement {
  return h("section", { class: "measure" }, button({ tap: close }, "Back to the coupons"));
}
