import type { BenchCoupon, BenchDay } from "../wire/index.js";
import { button, type Child, fill, h } from "./dom.js";
import { eventBar } from "./events.js";
import { couponForm, type FormMode } from "./form.js";
import { loggedList, plannedList, refusedList, saidView } from "./lists.js";
import { measureView } from "./measure/index.js";
import { lessonView, standingView } from "./standing-view.js";
import { flush, learn, onChange, refresh, say, start, state, submit } from "./state.js";
import { statusView } from "./status.js";
import { copyOf } from "./store.js";
import { resumeToday, type Today, todayPanel } from "./today.js";

/** How often the page looks whether the connection is back, or the journal went on. */
const LOOK_MS = 5000;

const root = document.querySelector("#bench")!;
const title = h("h1", {}, "Bench");
const status = h("div", { class: "status-place" });
const said = h("div", { class: "said-place", role: "status" });
const today = h("div");
const lesson = h("div");
const current = h("div");
const planned = h("div", { class: "after" });
const logged = h("div", { class: "after" });
const standing = h("div");
const measuring = h("div", { hidden: true });
const measure = button({ class: "quiet", tap: () => showMeasuring(true) }, "Measure from a photo");
const lists = h("div", { class: "work" }, said, lesson, today, current, planned, logged);
const columns = h(
  "main",
  { class: "columns" },
  lists,
  h("aside", { "aria-label": "Where the study stands" }, standing),
);

/** The coupon in the form: the one chosen, else the next one planned. */
let chosen: { readonly id: string; readonly mode: FormMode } | undefined;
let shownForm = "";
/** Whether the form waits for an answer, which may be a refusal that it has to show. */
let awaited = false;
/** The coupon measured on a photo. */
let photographed = false;

/** Coupons logged here whose entries wait for a connection. */
function waitingCoupons(): ReadonlySet<string> {
  const back = new Set(
    state.waiting.flatMap(({ request: { task } }) => (task.kind === "undo" ? [task.request] : [])),
  );
  return new Set(
    state.waiting.flatMap(({ request: { id, task }, refused }) =>
      task.kind === "coupon" && refused === undefined && !back.has(id) ? [task.coupon] : [],
    ),
  );
}

function couponAt(day: BenchDay): { readonly coupon: BenchCoupon; readonly mode: FormMode } | undefined {
  const known = [...day.planned, ...day.logged];
  const wanted = chosen === undefined ? undefined : known.find(({ id }) => id === chosen?.id);
  if (chosen !== undefined && wanted !== undefined) return { coupon: wanted, mode: chosen.mode };
  const waiting = waitingCoupons();
  const next = day.planned.find(({ id }) => !waiting.has(id));
  return next === undefined ? undefined : { coupon: next, mode: "log" };
}

function choose(coupon: BenchCoupon, mode: FormMode = "log"): void {
  chosen = { id: coupon.id, mode };
  render();
  current.scrollIntoView({ block: "start" });
}

/** The form stays as it is while it is the same coupon's: what is typed in it must not be lost. */
function renderForm(day: BenchDay): void {
  if (awaited) return;
  const at = couponAt(day);
  const wanted = at === undefined ? "none" : `${at.mode} ${at.coupon.id}`;
  if (wanted === shownForm) return;
  shownForm = wanted;
  if (at === undefined) {
    fill(
      current,
      h(
        "section",
        { class: "card", "aria-label": "Nothing planned" },
        h("h2", {}, "No coupon is planned"),
        h(
          "p",
          {},
          "On the computer, `beadbench next` plans the coupons worth running next; they appear here by themselves.",
        ),
      ),
    );
    return;
  }
  fill(
    current,
    couponForm({
      day,
      coupon: at.coupon,
      mode: at.mode,
      sending: (on) => {
        awaited = on;
      },
      done: () => {
        chosen = undefined;
        shownForm = "";
        render();
        // What it taught stands on top.
        scrollTo(0, 0);
      },
    }),
  );
}

async function takeBack(request: string): Promise<void> {
  const { outcome } = await submit({ kind: "undo", request });
  const refused = outcome.kind === "refused" ? outcome.refusal.message : undefined;
  say({ text: refused ?? "Taken back: the journal keeps it, marked as void.", warnings: [] });
  shownForm = "";
  render();
}

async function takeBackEntry(entry: number): Promise<void> {
  const { outcome } = await submit({ kind: "undo", entry });
  const refused = outcome.kind === "refused" ? outcome.refusal.message : undefined;
  say({ text: refused ?? "Taken back: the journal keeps it, marked as void.", warnings: [] });
}

function render(): void {
  const { day } = state;
  fill(status, statusView(state));
  measuring.hidden = !photographed;
  measure.hidden = photographed;
  columns.hidden = photographed;
  if (day === undefined) {
    fill(
      lesson,
      h("p", { class: "hint" }, "The study has not been loaded yet: this needs the connection once."),
    );
    return;
  }
  document.title = `Bench: ${day.study}`;
  title.textContent = day.study;
  const put = (place: HTMLElement, ...content: readonly Child[]): void => fill(place, ...content);
  put(said, state.said !== undefined && saidView(state.said, (request) => void takeBack(request)));
  put(lesson, refusedList(), state.lesson !== undefined && lessonView(state.lesson));
  renderToday(day);
  renderForm(day);
  const at = couponAt(day);
  put(
    planned,
    plannedList(
      day.planned.filter(({ id }) => id !== at?.coupon.id),
      waitingCoupons(),
      choose,
    ),
  );
  renderLogged(day);
  put(
    standing,
    state.standing !== undefined && standingView(state.standing, state.chanceBefore),
    ...day.remarks.map((text) => h("p", { class: "remark" }, text)),
  );
}

let shownToday = "";

/** Fields for today are not drawn anew while they are filled in. */
function renderToday(day: BenchDay, force = false): void {
  if (!force && shownToday === day.home) return;
  shownToday = day.home;
  fill(
    today,
    todayPanel(day, () => renderToday(day, true)),
  );
}

let shownLogged = -1;

/** Drawn anew only when the journal went on, so that an open coupon stays open. */
function renderLogged(day: BenchDay): void {
  if (shownLogged === day.revision) return;
  shownLogged = day.revision;
  fill(
    logged,
    loggedList(day.logged, {
      add: (coupon) => choose(coupon),
      mend: (coupon) => choose(coupon, "mend"),
      takeBack: (coupon) => void takeBackEntry(coupon.entry!),
      learn: (coupon) => {
        void learn(coupon.id);
        lists.scrollIntoView({ block: "start" });
      },
    }),
  );
}

function showMeasuring(on: boolean): void {
  photographed = on;
  const { day } = state;
  if (on && day !== undefined)
    fill(
      measuring,
      measureView({
        day,
        coupon: couponAt(day)?.coupon.id,
        close: (logged) => {
          // Its verdicts are still to be told.
          if (logged !== undefined) chosen = { id: logged, mode: "log" };
          shownForm = "";
          showMeasuring(false);
        },
      }),
    );
  else fill(measuring);
  render();
  scrollTo(0, 0);
}

fill(
  root,
  h("header", { class: "top" }, title, status, measure),
  columns,
  measuring,
  eventBar(() => (state.day === undefined ? undefined : couponAt(state.day)?.coupon.id)),
);
onChange(render);
try {
  resumeToday(await copyOf<Today>("today"));
  await start();
} catch (error) {
  // A private window, or a browser told to keep nothing.
  fill(
    status,
    h(
      "p",
      { class: "fault", role: "alert" },
      `This browser keeps nothing for this page (${(error as Error).message}), so that entries could get lost: use an ordinary window.`,
    ),
  );
  throw error;
}
addEventListener("online", () => void flush());
setInterval(() => {
  if (state.connection !== "code") void flush().then(refresh);
}, LOOK_MS);
if (window.isSecureContext && "serviceWorker" in navigator)
  await navigator.serviceWorker.register("/worker.js");
