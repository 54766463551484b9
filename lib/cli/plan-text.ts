import type { Effort, Plan, PlanEffort } from "../design/index.js";
import { ownValue } from "../errors/index.js";
import { counted, fixed } from "../numeric/index.js";
import { settingText } from "../study/definition/index.js";
import type { Study } from "../study/index.js";
import { runsTable } from "./runs-table.js";
import { findingsText } from "./text.js";

/** A plan as plain text: its coupons, which were moved, what they cost, findings. */
export function planText(study: Study, plan: Plan): string {
  return [
    `${counted(plan.runs.length, "coupon")}, design ${plan.design}, seed ${plan.seed}\n\n`,
    runsTable(study.definition, plan.runs, study.definition.blocks[0]),
    pulledText(study, plan),
    survivorsText(plan),
    plan.effort === undefined ? "" : `\n${effortText(plan.effort)}`,
    plan.findings.length === 0 ? "" : `\n${findingsText(plan.findings)}`,
  ].join("");
}

/** How many of the coupons are expected to give dimensions; empty where nothing is known of that. */
function survivorsText({ runs }: Plan): string {
  if (runs.some(({ survival }) => survival === undefined)) return "";
  const expected = runs.reduce((sum, { survival }) => sum + survival!, 0);
  return `\n${fixed(expected, 1)} of the ${runs.length} coupons are expected to give dimensions\n`;
}

/** Coupons that were pulled to where they live: from where, to where. */
function pulledText({ definition }: Study, { runs }: Plan): string {
  const lines = runs.flatMap(({ order, settings, movedFrom }) => {
    if (movedFrom === undefined) return [];
    const moves = definition.factors
      .filter(({ name }) => ownValue(settings, name) !== ownValue(movedFrom, name))
      .map(
        ({ name, unit }) =>
          `${name} ${settingText(ownValue(movedFrom, name))} to ${settingText(ownValue(settings, name))} ${unit}`,
      );
    return [`  run ${order}: ${moves.join(", ")}\n`];
  });
  return lines.length === 0 ? "" : `\nPulled to where coupons live\n${lines.join("")}`;
}

function effortText({ total, sessions, hardChanges }: PlanEffort): string {
  const line = (what: string, { minutes, gas, wire }: Effort): string => {
    const used = [
      `${Math.round(minutes)} min`,
      ...(gas > 0 ? [`${Math.round(gas)} L of gas`] : []),
      ...(wire > 0 ? [`${fixed(wire, 1)} m of wire`] : []),
    ];
    return `${what}: ${used.join(", ")}\n`;
  };
  return [
    line("Estimated effort", total),
    ...(sessions.length < 2 ? [] : sessions.map((effort, i) => line(`  session ${i + 1}`, effort))),
    hardChanges === 0 ? "" : `${hardChanges} changes of hard-to-change settings\n`,
  ].join("");
}
