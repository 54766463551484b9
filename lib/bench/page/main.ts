import type { BenchDay } from "../wire/index.js";
import { makeCurrent } from "./current.js";
import { button, type Child, fill, h } from "./dom.js";
import { eventBar } from "./events.js";
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
const current = makeCurrent(render);
const planned = h("div", { class: "after" });
const logged = h("div", { class: "after" });
const standing = h("div");
const measuring = h("div", { hidden: true });
const measure = button({ class: "quiet", tap: () => showMeasuring(true) }, "Measure from a photo");
const lists = h("div", { class: "work" }, said, lesson, today, current.element, planned, logged);
const columns = h(
  "main",
  { class: "columns" },
  lists,
  h("aside", { "aria-label": "Where the study stands" }, standing),
);

/** The coupon measured on a photo. */
let photographed = false;

/** Takes back what a request, or an entry, wrote. */
async function takeBack(what: { readonly request: string } | { readonly entry: number }): Promise<void> {
  const { outcome } = await submit({ kind: "undo", ...what });
  const text =
    outcome.kind === "refused"
      ? outcome.refusal.message
      : outcome.kind === "written"
        ? "Taken back: the journal keeps it, marked as void."
        : "It is taken back when there is a connection: kept on this device until then.";
  say({ text, warnings: [] });
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
  put(said, state.said !== undefined && saidView(state.said, (request) => void takeBack({ request })));
  current.render(day);
  put(lesson, refusedList(day, current), state.lesson !== undefined && lessonView(state.lesson));
  renderToday(day);
  put(planned, plannedList(day.planned, current));
  renderLogged(day);
  put(
    standing,
    state.standing !== undefined && standingView(state.standing, state.chanceBefore),
    ...day.remarks.map((text) => h("p", { class: "remark" }, text)),
  );
}

/** Has the page's own files kept, before anything is waited for: the connection may drop at any time. */
async function keepPage(): Promise<void> {
  if (!window.isSecureContext || !("serviceWorker" in navigator)) return;
  if (navigator.serviceWorker.controller !== null) return;
  // Without a connection, or while the last try is under way, it is tried again.
  await navigator.serviceWorker.register("/worker.js").catch(() => undefined);
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
      add: ({ id }) => current.choose(id),
      mend: ({ id }) => current.choose(id, "mend"),
      takeBack: (coupon) => void takeBack({ entry: coupon.entry! }),
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
        coupon: current.coupon(),
        close: (logged) => {
          // Its verdicts are still to be told.
          if (logged !== undefined) current.choose(logged);
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
  eventBar(() => current.coupon()),
);
onChange(render);
void keepPage();
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
  void keepPage();
  if (state.connection !== "code") void flush().then(refresh);
}, LOOK_MS);
