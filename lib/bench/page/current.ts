import type { BenchCoupon, BenchDay } from "../wire/index.js";
import { fill, h } from "./dom.js";
import { type CouponForm, couponForm, type FormMode } from "./form.js";
import { state, waitingCoupons } from "./state.js";
import type { WaitingRequest } from "./store.js";
import { mendableCoupon, typedBefore } from "./typed-before.js";

/** What the form is for: a coupon to log or to correct, or a refused request about one. */
interface At {
  readonly coupon: BenchCoupon;
  readonly mode: FormMode;
  readonly refused?: WaitingRequest;
}

/** The place of the page where one coupon is filled in. */
export interface Current {
  readonly element: HTMLElement;
  /** The coupon in the form. */
  coupon(): string | undefined;
  /** The refused request whose form is open. */
  mending(): number | undefined;
  /** What is odd about a coupon that is not in the form, in a word. */
  remark(coupon: string): string | undefined;
  choose(coupon: string, mode?: FormMode): void;
  mend(refused: WaitingRequest): void;
  render(day: BenchDay): void;
}

/**
 * Shows the form of the coupon chosen, else of an entry that was refused after it was kept, else of the next one planned.
 * A form with something typed in it stays while nobody chooses another, and waits as it is while somebody does.
 */
export function makeCurrent(changed: () => void): Current {
  const element = h("div");
  let chosen: { readonly id: string; readonly mode: FormMode; readonly place?: number } | undefined;
  let shown: { readonly key: string; readonly at: At | undefined; readonly form?: CouponForm } | undefined;
  /** Whether the form waits for an answer, which may be a refusal that it has to show. */
  let awaited = false;
  const begun = new Map<string, CouponForm>();

  function wanted(day: BenchDay): At | undefined {
    const { id, mode = "log", place } = chosen ?? {};
    const refused = state.waiting.find((kept) =>
      chosen === undefined ? mendableCoupon(day, kept) !== undefined : kept.place === place,
    );
    if (refused !== undefined) return mendedAt(day, refused);
    const known = [...day.planned, ...day.logged].find((coupon) => coupon.id === id);
    if (known !== undefined) return { coupon: known, mode };
    const waiting = waitingCoupons();
    const next = day.planned.find((coupon) => !waiting.has(coupon.id));
    return next === undefined ? undefined : { coupon: next, mode: "log" };
  }

  function render(day: BenchDay): void {
    if (awaited || (chosen === undefined && shown?.form?.isTouched() === true)) return;
    const at = wanted(day);
    const key = at === undefined ? "none" : `${at.mode} ${at.coupon.id} ${at.refused?.place ?? ""}`;
    if (key === shown?.key) return;
    if (shown?.form?.isTouched() === true) begun.set(shown.key, shown.form);
    const form = at === undefined ? undefined : (begun.get(key) ?? formOf(day, at));
    begun.delete(key);
    shown = { key, at, ...(form === undefined ? {} : { form }) };
    fill(element, form?.element ?? nothingPlanned());
  }

  const formOf = (day: BenchDay, at: At): CouponForm =>
    couponForm({
      day,
      ...at,
      sending: (on) => {
        awaited = on;
      },
      done: () => {
        chosen = undefined;
        shown = undefined;
        changed();
        // What it taught stands on top.
        scrollTo(0, 0);
      },
    });

  function open(next: NonNullable<typeof chosen>): void {
    chosen = next;
    changed();
    element.scrollIntoView({ block: "start" });
  }

  return {
    element,
    coupon: () => shown?.at?.coupon.id,
    mending: () => shown?.at?.refused?.place,
    remark: (coupon) =>
      waitingCoupons().has(coupon)
        ? "kept here, not sent yet"
        : [...begun.keys()].some((key) => key.split(" ")[1] === coupon)
          ? "begun, not saved yet"
          : undefined,
    choose: (id, mode = "log") => open({ id, mode }),
    mend: ({ place, request: { task } }) =>
      open({ id: "coupon" in task ? (task.coupon ?? "") : "", mode: "log", place }),
    render,
  };
}

/** The form of a refused request; of a coupon that is no longer on the page little is known. */
function mendedAt(day: BenchDay, refused: WaitingRequest): At {
  const id = mendableCoupon(day, refused)!;
  const unknown: BenchCoupon = {
    id,
    state: "logged",
    settings: [],
    blocks: {},
    foreseen: {},
    results: [],
    readings: {},
    notes: [],
    photos: [],
    time: refused.request.made,
  };
  const coupon = [...day.planned, ...day.logged].find((one) => one.id === id) ?? unknown;
  return { coupon, mode: typedBefore(day, refused).mode, refused };
}

const nothingPlanned = (): HTMLElement =>
  h(
    "section",
    { class: "card", "aria-label": "Nothing planned" },
    h("h2", {}, "No coupon is planned"),
    h(
      "p",
      {},
      "On the computer, `beadbench next` plans the coupons worth running next; they appear here by themselves.",
    ),
  );
