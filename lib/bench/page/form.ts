import { significant } from "../../numeric/format/index.js";
import type { BenchCoupon, BenchDay, BenchRefusal, BenchTask } from "../wire/index.js";
import { makeArcClock } from "./arc-clock.js";
import { button, freshId, h } from "./dom.js";
import { makeReadings, type ReadingColumn } from "./readings.js";
import { makeSettings } from "./settings.js";
import { learn, say, submit } from "./state.js";
import { openToday } from "./today.js";
import { makeVerdicts } from "./verdicts.js";

/** Whether a coupon is logged, or what was logged of it is corrected. */
export type FormMode = "log" | "mend";

/** Why values are corrected, to choose from. */
const reasons = ["mistyped", "measured again", "another setting was run"] as const;

/** The form of one coupon. */
export function couponForm({
  day,
  coupon,
  mode,
  sending,
  done,
}: {
  readonly day: BenchDay;
  readonly coupon: BenchCoupon;
  readonly mode: FormMode;
  /** Told while an answer is awaited: the form may have to show a refusal. */
  readonly sending: (on: boolean) => void;
  /** Called once its values are kept. */
  readonly done: () => void;
}): HTMLElement {
  const saveAt = freshId("save");
  const save = button(
    { class: "go", id: saveAt, tap: () => void send() },
    mode === "log" ? "Save coupon" : "Save correction",
  );
  const verdicts = makeVerdicts(day.verdicts);
  const toVerdicts = (): void => {
    const next = verdicts.element.querySelector<HTMLElement>("button") ?? save;
    next.focus({ preventScroll: true });
    next.scrollIntoView({ block: "center" });
  };
  const readings = makeReadings(
    day.measured.map((column) => readingColumn(column, coupon)),
    toVerdicts,
  );
  const settings = makeSettings(day.factors, coupon);
  const clock = makeArcClock();
  const noteAt = freshId("note");
  const note = h("textarea", { id: noteAt, rows: 2, maxlength: 1000 });
  const photoAt = freshId("photo");
  const photo = h("input", { id: photoAt, type: "file", accept: "image/jpeg,image/png,image/webp" });
  const why = freshId("why");
  const reason = h("select", { id: why }, ...reasons.map((text) => h("option", { value: text }, text)));
  const fault = h("p", { class: "fault", role: "alert", hidden: true });

  function task(): BenchTask | undefined {
    const values: Record<string, number | string | boolean> = {
      ...settings.values(),
      ...verdicts.values(),
    };
    const stations: Record<string, readonly number[]> = {};
    for (const [name, list] of Object.entries(readings.values())) {
      if (list.length === 1) values[name] = list[0]!;
      else stations[name] = list;
    }
    const own = { values, readings: stations };
    const text = note.value.trim();
    if (mode === "mend") {
      if (Object.keys(values).length + Object.keys(stations).length === 0) return undefined;
      return { kind: "correction", coupon: coupon.id, reason: reason.value, ...own };
    }
    clock.stop();
    const seconds = clock.seconds();
    if (seconds !== undefined) values.arc_time = seconds;
    const empty = Object.keys(values).length + Object.keys(stations).length === 0;
    if (empty) return text === "" ? undefined : { kind: "note", text, coupon: coupon.id };
    if (coupon.state === "planned") Object.assign(values, openToday(day, coupon));
    const units = seconds === undefined ? {} : { units: { arc_time: "s" } };
    return { kind: "coupon", coupon: coupon.id, ...own, ...units, ...(text === "" ? {} : { note: text }) };
  }

  async function send(): Promise<void> {
    clearFaults();
    const [picture] = photo.files ?? [];
    const found =
      task() ?? (picture === undefined ? undefined : { kind: "photo" as const, coupon: coupon.id });
    if (found === undefined) {
      tell("Nothing is filled in yet.");
      return;
    }
    save.disabled = true;
    sending(true);
    const { id, outcome } = await submit(found, picture === undefined ? {} : { photo: picture });
    save.disabled = false;
    sending(false);
    if (outcome.kind === "refused") {
      refuse(outcome.refusal);
      return;
    }
    const written = outcome.kind === "written";
    const entries = written ? outcome.receipt.entries.join(", ") : "";
    say({
      text: written
        ? `${coupon.id} is in the journal (entry ${entries}).`
        : `${coupon.id} is kept on this device and sent when there is a connection.`,
      warnings: written ? outcome.receipt.warnings.map(({ message }) => message) : [],
      ...(found.kind === "correction" ? {} : { undo: id }),
    });
    done();
    if (written && found.kind !== "photo") await learn(coupon.id);
  }

  function refuse(refusal: BenchRefusal): void {
    const rest = refusal.faults.filter(
      ({ column = "", message }) =>
        !readings.fault(column, message) &&
        !verdicts.fault(column, message) &&
        !settings.fault(column, message),
    );
    tell([refusal.message, ...rest.map(({ column, message }) => `${column ?? ""} ${message}`)].join(" "));
    document.querySelector<HTMLElement>("[aria-invalid=true]")?.focus();
  }
  function tell(text: string): void {
    fault.textContent = text;
    fault.hidden = false;
  }
  function clearFaults(): void {
    fault.hidden = true;
    readings.clearFaults();
    verdicts.clearFaults();
    settings.clearFaults();
  }

  const form = h(
    "section",
    { class: "card open", "aria-label": `Coupon ${coupon.id}`, "data-coupon": coupon.id },
    h(
      "header",
      {},
      h("h2", {}, mode === "mend" ? `Correct ${coupon.id}` : coupon.id),
      coupon.role !== undefined && h("p", { class: "role" }, coupon.role),
    ),
    settings.element,
    mode === "mend" && logged(coupon),
    readings.element,
    verdicts.element,
    mode === "log" && clock.element,
    mode === "log" &&
      h(
        "div",
        { class: "extras" },
        h("div", {}, h("label", { for: noteAt }, "Note"), note),
        h("div", {}, h("label", { for: photoAt }, "Photo"), photo),
      ),
    mode === "mend" && h("div", { class: "extras" }, h("div", {}, h("label", { for: why }, "Why"), reason)),
    fault,
    save,
  );
  queueMicrotask(() => form.isConnected && readings.begin());
  return form;
}

/** What stands in the journal, beside the fields that correct it. */
function logged(coupon: BenchCoupon): HTMLElement {
  return h(
    "p",
    { class: "hint" },
    `Logged: ${coupon.results.map(({ label, text }) => `${label} ${text}`).join("; ")}. Fill in only what is wrong.`,
  );
}

function readingColumn(column: BenchDay["measured"][number], coupon: BenchCoupon): ReadingColumn {
  const { name, label, unit, decimals, stations, signed, good = "" } = column;
  const range = coupon.foreseen[name];
  const expected =
    range === undefined
      ? ""
      : `expected ${significant(range.lower)} to ${significant(range.upper)} ${unit === "1" ? "" : unit}`.trim();
  return {
    name,
    label,
    unit,
    decimals,
    stations,
    signed,
    hint: good,
    expected,
    ...(range === undefined ? {} : { range }),
  };
}
