import type { BenchVerdict } from "../wire/index.js";
import { button, freshId, h } from "./dom.js";

/** Two large buttons for each check. */
export interface Verdicts {
  readonly element: HTMLElement;
  values(): Readonly<Record<string, boolean>>;
  fault(name: string, message: string): boolean;
  clearFaults(): void;
}

/** Pass and fail of each check, with what was chosen before; a second tap takes a choice back. */
export function makeVerdicts(
  columns: readonly BenchVerdict[],
  before: Readonly<Record<string, boolean>> = {},
): Verdicts {
  const chosen = new Map(Object.entries(before));
  const faults = new Map<string, HTMLElement>();
  const row = ({ name, label, pass, fail }: BenchVerdict): HTMLElement => {
    const fault = h("p", { class: "fault", id: freshId("fault"), hidden: true });
    faults.set(name, fault);
    const choices = [true, false].map((passed) =>
      button(
        {
          class: passed ? "verdict pass" : "verdict fail",
          "aria-pressed": String(chosen.get(name) === passed),
          "aria-describedby": fault.id,
          "data-verdict": `${name}-${passed ? "pass" : "fail"}`,
          tap: () => {
            if (chosen.get(name) === passed) chosen.delete(name);
            else chosen.set(name, passed);
            choices.forEach((choice, k) => {
              choice.setAttribute("aria-pressed", String(chosen.get(name) === (k === 0)));
            });
          },
        },
        h("span", { class: "mark", "aria-hidden": "true" }, passed ? "✓" : "✗"),
        h("span", {}, passed ? "Pass" : "Fail", h("small", {}, passed ? pass : fail)),
      ),
    );
    return h("fieldset", { class: "verdicts" }, h("legend", {}, label), ...choices, fault);
  };
  return {
    element: h("div", {}, ...columns.map(row)),
    values: () => Object.fromEntries(chosen),
    fault(name, message) {
      const fault = faults.get(name);
      if (fault === undefined) return false;
      fault.textContent = message;
      fault.hidden = false;
      return true;
    },
    clearFaults() {
      for (const fault of faults.values()) fault.hidden = true;
    },
  };
}
