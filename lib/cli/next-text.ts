import { grouped } from "../errors/index.js";
import { counted, fixed, percent } from "../numeric/index.js";
import { settingsText } from "../study/definition/index.js";
import type { StudyDefinition } from "../study/index.js";
import { type CouponExpense, expenseKinds, type Proposal, type Proposals } from "../window/index.js";
import { plainAim, plainStanding } from "./plain-window.js";
import { runsTable } from "./runs-table.js";
import { findingsText, wrap } from "./text.js";

/** Proposals as the journal keeps them: settings, role, reason. */
export function plannedRuns(result: Proposals) {
  return result.proposals.map(({ settings, role, why, expense }) => ({
    settings: Object.fromEntries(settings.map(({ factor, value }) => [factor, value])),
    role,
    note: why,
    expense,
  }));
}

/** Proposals as plain text; in figures with `detail`. */
export function nextText(definition: StudyDefinition, result: Proposals, detail: boolean): string {
  const { best, stopping, proposals, batchGain, learnt } = result;
  const standing = detail
    ? `Best so far: ${settingsText(best.settings)}, chance ${percent(best.chance)}\nAll ${proposals.length} together are expected to raise it by ${fixed(100 * batchGain, 1)} points.`
    : wrap(plainStanding(definition, result));
  return [
    `${detail ? `${counted(proposals.length, "coupon")}, aim ${result.aim}, seed ${result.seed}` : plainAim(result)}\n\n`,
    runsTable(definition, plannedRuns(result)),
    totalText(definition, proposals),
    "\nWhy\n",
    whyText(proposals),
    learnt.length === 0
      ? ""
      : `\nWhat the checks have taught\n${learnt.map(({ text }) => `${wrap(text, "  ")}\n`).join("")}`,
    `\n${standing}\n`,
    `${wrap(stopping.message)}\n`,
    result.findings.length === 0 ? "" : `\n${findingsText(result.findings)}`,
  ].join("");
}

/** Reasons, those that coupons share said once. */
function whyText(proposals: readonly Proposal[]): string {
  const numbered = proposals.map((proposal, i) => ({ proposal, run: i + 1 }));
  const line = (run: number, text: string): string => `${String(run).padStart(3)}  ${wrap(text, "     ")}\n`;
  return [...grouped(numbered, ({ proposal }) => proposal.reason?.because ?? proposal.why).values()]
    .map((alike) => {
      const [{ proposal, run }] = alike as [(typeof numbered)[number]];
      if (alike.length === 1) return line(run, proposal.why);
      const shared = `${runsWords(alike.map((one) => one.run))}: ${proposal.reason?.because ?? proposal.why}`;
      const own = alike.flatMap((one) =>
        one.proposal.reason === undefined ? [] : [line(one.run, one.proposal.reason.own)],
      );
      return `${wrap(shared, "     ")}\n${own.join("")}`;
    })
    .join("");
}

/** "Runs 1 to 3 and 5". */
function runsWords(runs: readonly number[]): string {
  const spans: [number, number][] = [];
  for (const run of runs) {
    const last = spans.at(-1);
    if (last !== undefined && last[1] === run - 1) last[1] = run;
    else spans.push([run, run]);
  }
  const words = spans.map(([from, to]) =>
    from === to ? String(from) : `${from} ${to === from + 1 ? "and" : "to"} ${to}`,
  );
  return `Runs ${words.join(", ")}`;
}

/** What the coupons take together. */
function totalText({ costs }: StudyDefinition, proposals: readonly Proposal[]): string {
  const total = (kind: keyof CouponExpense): number =>
    proposals.reduce((sum, { expense }) => sum + (expense[kind] ?? 0), 0);
  const words = {
    money: (value: number) => `${fixed(value, 2)} ${costs?.currency ?? ""}`,
    minutes: (value: number) => `${fixed(value, 0)} min`,
    gas: (value: number) => `${fixed(value, 0)} L of gas`,
    wire: (value: number) => `${fixed(value, 1)} m of wire`,
  };
  const parts = expenseKinds.flatMap((kind) => (total(kind) > 0 ? [words[kind](total(kind))] : []));
  return `All together: ${parts.join(", ")}\n`;
}
