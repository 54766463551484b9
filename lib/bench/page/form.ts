import { ownValue } from "../../errors/index.js";
import { significant } from "../../numeric/format/index.js";
import type { BenchCoupon, BenchDay, BenchRefusal, BenchTask } from "../wire/index.js";
import { makeArcClock } from "./arc-clock.js";
import { button, freshId, h } from "./dom.js";
import { makeReadings, type ReadingColumn } from "./readings.js";
import { makeSettings } from "./settings.js";
import { giveUp, learn, say, state, submit, waitingCoupons } from "./state.js";
import type { WaitingRequest } from "./store.js";
import { openToday } from "./today.js";
import { typedBefore } from "./typed-before.js";
import { makeVerdicts } from "./verdicts.js";

/** Whether a coupon is logged, or what was logged of it is corrected. */
export type FormMode = "log" | "mend";

/** Why values are corrected, to choose from. */
const reasons = ["mistyped", "measured again", "another setting was run"] as const;

/** A form on the page. */
export interface CouponForm {
  readonly element: HTMLElement;
  /** Whether something is typed in it that is not kept elsewhere. */
  isTouched(): boolean;
}

/** The form of one coupon. */
export function couponForm({
  day,
  coupon,
  mode,
  refused,
  sending,
  done,
}: {
  readonly day: BenchDay;
  readonly coupon: BenchCoupon;
  readonly mode: FormMode;
  /** What was typed for it before and refused. */
  readonly refused?: WaitingRequest;
  /** Told while an answer is awaited: the form may have to show a refusal. */
  readonly sending: (on: boolean) => void;
  /** Called once its values are kept. */
  readonly done: () => void;
}): CouponForm {
  const before = refused === undefined ? undefined : typedBefore(day, refused);
  const saveAt = freshId("save");
  const save = button(
    { class: "go", id: saveAt, tap: () => void send() },
    mode === "log" ? "Save coupon" : "Save correction",
  );
  const verdicts = makeVerdicts(day.verdicts, before?.verdicts);
  const toVerdicts = (): void => {
    const next = verdicts.element.querySelector<HTMLElement>("button") ?? save;
    next.focus({ preventScroll: true });
    next.scrollIntoView({ block: "center" });
  };
  const readings = makeReadings(
    day.measured.map((column) => readingColumn(column, coupon)),
    toVerdicts,
    before?.readings,
  );
  const settings = makeSettings(day.factors, coupon, before?.settings);
  const clock = makeArcClock(before?.arc);
  const noteAt = freshId("note");
  const note = h("textarea", { id: noteAt, rows: 2, maxlength: 1000 }, before?.note);
  const photoAt = freshId("photo");
  const photo = h("input", { id: photoAt, type: "file", accept: "image/jpeg,image/png,image/webp" });
  const why = freshId("why");
  const told = before?.reason ?? reasons[0];
  const reason = h(
    "select",
    { id: why },
    ...[...new Set([...reasons, told])].map((text) =>
      h("option", { value: text, selected: text === told }, text),
    ),
  );
  const fault = h("p", { class: "fault", role: "alert", hidden: true });

  const touched = (): boolean =>
    [settings, verdicts, readings].some((part) => Object.keys(part.values()).length > 0) ||
    clock.seconds() !== undefined ||
    note.value.trim() !== "" ||
    (photo.files ?? []).length > 0;

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
    const text = note.value.trim();
    clock.stop();
    const seconds = mode === "log" ? clock.seconds() : undefined;
    if (seconds !== undefined) values.arc_time = seconds;
    const units = { ...before?.units, ...(seconds === undefined ? {} : { arc_time: "s" }) };
    if (Object.keys({ ...values, ...stations, ...before?.rest }).length === 0)
      return text === "" ? undefined : { kind: "note", text, coupon: coupon.id };
    const own = {
      coupon: coupon.id,
      values,
      readings: stations,
      ...(Object.keys(units).length === 0 ? {} : { units }),
    };
    if (mode === "mend")
      return { kind: "correction", reason: reason.value, ...own, values: { ...before?.rest, ...values } };
    const today = isOpen(coupon.id) ? openToday(day, coupon) : {};
    return {
      kind: "coupon",
      ...own,
      values: { ...today, ...before?.rest, ...values },
      ...(text === "" ? {} : { note: text }),
    };
  }

  async function send(): Promise<void> {
    clearFaults();
    const picture = photo.files?.[0] ?? refused?.photo;
    const photoNote = refused?.request.photoNote;
    const found =
      task() ?? (picture === undefined ? undefined : { kind: "photo" as const, coupon: coupon.id });
    if (found === undefined) {
      tell("Nothing is filled in yet.");
      return;
    }
    save.disabled = true;
    sending(true);
    const { id, outcome } = await submit(found, {
      ...(picture === undefined ? {} : { photo: picture }),
      ...(photoNote === undefined ? {} : { photoNote }),
      ...(refused === undefined ? {} : { mends: refused }),
    });
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
    refused !== undefined && notTaken(refused, () => void giveUp(refused.place).then(done)),
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
  queueMicrotask(() => {
    if (!form.isConnected) return;
    readings.begin();
    if (refused?.refused !== undefined) refuse(refused.refused);
  });
  return { element: form, isTouched: touched };
}

/** Whether nothing was logged of a coupon, here or in the journal, while its form was open. */
const isOpen = (coupon: string): boolean =>
  state.day?.planned.some(({ id }) => id === coupon) === true && !waitingCoupons().has(coupon);

/** Says that values are those of a request that was refused, and drops them where they are logged otherwise. */
function notTaken({ request: { made }, photo }: WaitingRequest, drop: () => void): HTMLElement {
  const time = new Date(made).toTimeString().slice(0, 5);
  const picture = photo === undefined ? "" : " Its photo is kept here and goes along.";
  return h(
    "div",
    { class: "remark" },
    h("p", {}, `Typed at ${time} and not taken into the journal. Mend what is marked and save.${picture}`),
    button({ class: "quiet", tap: drop }, "Drop it, I have logged it otherwise"),
  );
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
  const range = ownValue(coupon.foreseen, name);
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
