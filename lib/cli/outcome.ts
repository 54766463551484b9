import { buildOutcomeModel, checkStudy, type OutcomeModel } from "../models/index.js";
import type { Study } from "../study/index.js";
import type { CommandIo } from "./io.js";
import { findingsText } from "./text.js";

/** The study's outcome model; what the check refuses is said first, since the model would believe it. */
export function outcomeModelOf(
  io: CommandIo,
  study: Study,
  options: { readonly without?: readonly string[] } = {},
): OutcomeModel {
  warnOfRefusals(io, study);
  const without = new Set(options.without ?? []);
  return buildOutcomeModel(
    study.definition,
    study.coupons.filter(({ id, state }) => state === "logged" && !without.has(id)),
  );
}

/** Says on the notes when the check would refuse the study's coupons. */
export function warnOfRefusals(io: CommandIo, study: Study): void {
  const refused = checkStudy(study).findings.filter(({ severity }) => severity === "error");
  if (refused.length === 0) return;
  io.note(
    `Mind: \`beadbench check\` refuses these coupons, so what follows may rest on wrong numbers.\n${findingsText(refused)}\n`,
  );
}
