import { ownValue } from "../../errors/index.js";
import { counted, inWords, sentence } from "../../numeric/figures/index.js";
import { type StudyDefinition, settingsText } from "../../study/definition/index.js";
import type { Coupon, Study } from "../../study/record/index.js";
import { allFailed } from "./all-failed.js";
import { gate } from "./gate.js";
import { logLine } from "./log-line.js";

/** What to do next, and the commands that do it. */
export interface NextStep {
  readonly why: string;
  readonly commands: readonly string[];
}

/**
 * What to do next in a study: look at damage, go on with a build, run the next planned coupon, or ask for coupons.
 *
 * @param here - the study as the commands name it, with a blank before it; nothing for one who stands in its folder
 */
export function nextStep(study: Study, here = ""): NextStep {
  const { definition, coupons, integrity, buildSteps } = study;
  const logged = coupons.filter(({ state }) => state === "logged");
  const planned = coupons.filter(({ state }) => state === "planned");
  if (integrity.length > 0)
    return {
      why: "The record has damage: see what, before you log on.",
      commands: [`beadbench check${here}`],
    };
  const open = [...new Map(buildSteps.map(({ build, event }) => [build, event]))].filter(
    ([, event]) => event !== "ended",
  );
  const running = open.at(-1)?.[0];
  if (running !== undefined)
    return { why: `The build ${running} is under way:`, commands: [`beadbench build${here} ${running}`] };
  const odd = new Set(
    gate(
      study,
      logged.map(({ id }) => id),
    ).map(({ coupon }) => coupon),
  );
  const [next] = planned;
  const [none] = allFailed(study);
  const failed = none === undefined ? "" : ` ${sentence(none.message)}.`;
  const mind =
    odd.size === 0
      ? failed
      : `${failed} ${counted(odd.size, "coupon")} logged so far ${odd.size === 1 ? "looks" : "look"} odd: \`beadbench check${here}\` says why.`;
  if (next !== undefined)
    return {
      why: `Run ${next.id}${planned.length > 1 ? ` (first of ${planned.length})` : ""}: ${settingsOf(definition, next)}.${mind} Then log it:`,
      commands: [logLine(study, next, here)],
    };
  if (logged.length === 0)
    return {
      why: "No coupon yet: plan the first ones, or import those you have run.",
      commands: [`beadbench next${here} --coupons 6`, `beadbench import${here} results.csv`],
    };
  return {
    why: `Nothing is planned.${mind} Ask for the coupons worth running next, or for the settings known to be best so far:`,
    commands: [`beadbench next${here}`, `beadbench preset${here}`],
  };
}

function settingsOf({ factors }: StudyDefinition, { settings }: Coupon): string {
  return settingsText(
    factors.map(({ name, unit }) => ({
      factor: inWords(name),
      value: ownValue(settings, name) ?? "-",
      unit,
    })),
  );
}
