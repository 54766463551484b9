import type { BenchChoice, BenchDay, BenchTask } from "../wire/index.js";
import { button, fill, freshId, h } from "./dom.js";
import { say, state, submit } from "./state.js";

const outcomes = [
  ["carried_on", "Went on"],
  ["resumed", "Cost time"],
  ["scrapped", "Cost the part"],
] as const;

/** Minutes that an incident may have cost; nothing is said of what nobody measured. */
const lost = [
  ["", "not known"],
  ["5", "5 min"],
  ["15", "15 min"],
  ["30", "30 min"],
  ["60", "1 h"],
  ["120", "2 h"],
] as const;

/** The two buttons that tell an incident or a change, each with a second tap. */
export function eventBar(coupon: () => string | undefined): HTMLElement {
  const dialog = h("dialog", { class: "sheet", "aria-labelledby": "sheet-title" });
  const open = (content: (day: BenchDay) => readonly Node[]): void => {
    if (state.day === undefined) return;
    fill(dialog, ...content(state.day), button({ class: "quiet", tap: () => dialog.close() }, "Close"));
    dialog.showModal();
  };
  const close = (): void => dialog.close();
  return h(
    "div",
    { class: "event-bar", role: "group", "aria-label": "Incident or change" },
    button(
      { class: "wrong", tap: () => open((day) => incident(day, coupon(), close)) },
      "Something went wrong",
    ),
    button(
      { class: "changed", tap: () => open((day) => change(day, coupon(), close)) },
      "Something was changed",
    ),
    dialog,
  );
}

/** Large buttons of which one is chosen. */
function choices(
  options: readonly (readonly [value: string, text: string])[],
  first: string,
  title: string,
): { readonly view: HTMLElement; readonly chosen: () => string } {
  const group = freshId("choice");
  const radios = options.map(([value, text]) => {
    const radio = h("input", { type: "radio", name: group, value, checked: value === first });
    return { radio, label: h("label", { class: "choice" }, radio, text) };
  });
  return {
    view: h(
      "div",
      { class: "outcomes", role: "radiogroup", "aria-label": title },
      ...radios.map(({ label }) => label),
    ),
    chosen: () => radios.find(({ radio }) => radio.checked)!.radio.value,
  };
}

function incident({ incidents }: BenchDay, coupon: string | undefined, close: () => void): readonly Node[] {
  const cost = choices(outcomes, "resumed", "What it cost");
  const time = choices(lost, "", "Time it cost");
  const tell = (what: string, label: string): void => {
    const said = outcomes.find(([own]) => own === cost.chosen())!;
    const minutes = Number(time.chosen());
    close();
    void log(
      {
        kind: "incident",
        what,
        outcome: said[0],
        ...(minutes > 0 ? { lostTime: { value: minutes, unit: "min" as const } } : {}),
        ...(coupon === undefined ? {} : { coupon }),
      },
      `${label}: ${said[1].toLowerCase()}`,
    );
  };
  return [
    h("h2", { id: "sheet-title" }, "What went wrong?"),
    h(
      "p",
      { class: "hint" },
      coupon === undefined ? "On the study." : `On ${coupon}. One tap on a cause logs it.`,
    ),
    cost.view,
    h("p", { class: "hint" }, "Time lost, if known:"),
    time.view,
    causes(incidents, tell),
    other("Something else", tell),
  ];
}

function change({ changes }: BenchDay, before: string | undefined, close: () => void): readonly Node[] {
  const tell = (what: string, label: string): void => {
    close();
    void log({ kind: "change", what, ...(before === undefined ? {} : { before }) }, `${label} changed`);
  };
  return [
    h("h2", { id: "sheet-title" }, "What was changed?"),
    h(
      "p",
      { class: "hint" },
      before === undefined ? "One tap logs it." : `Before ${before}. One tap logs it.`,
    ),
    causes(changes, tell),
    other("Something else", tell),
  ];
}

function causes(choices: readonly BenchChoice[], tell: (what: string, label: string) => void): HTMLElement {
  return h(
    "div",
    { class: "causes" },
    ...choices.map(({ what, label, count }) =>
      button(
        { class: "cause", "data-what": what, tap: () => tell(what, label) },
        label,
        count > 0 && h("small", {}, `${count} so far`),
      ),
    ),
  );
}

function other(label: string, tell: (what: string, label: string) => void): HTMLElement {
  const id = freshId("other");
  const input = h("input", { id, autocomplete: "off", maxlength: 60 });
  const fault = h("p", { class: "fault", role: "alert", hidden: true });
  return h(
    "form",
    {
      class: "other",
      on: {
        submit: (event) => {
          event.preventDefault();
          const what = input.value
            .trim()
            .toLowerCase()
            .replaceAll(/[^a-z0-9]+/g, "_");
          fault.hidden = /^[a-z][a-z0-9_]*[a-z0-9]$/.test(what);
          fault.textContent = "Name it in a few plain words that begin with a letter.";
          if (fault.hidden) tell(what, input.value.trim());
        },
      },
    },
    h("label", { for: id }, label),
    h("div", { class: "row" }, input, h("button", { type: "submit" }, "Log it")),
    fault,
  );
}

async function log(task: BenchTask, text: string): Promise<void> {
  const { id, outcome } = await submit(task);
  if (outcome.kind === "refused")
    say({
      text: `Not logged: ${[outcome.refusal.message, ...outcome.refusal.faults.map(({ message }) => message)].join(" ")}`,
      warnings: [],
    });
  else
    say({
      text: `${text} ${outcome.kind === "written" ? "is in the journal." : "is kept on this device and sent later."}`,
      warnings: [],
      undo: id,
    });
}
