import type { Command } from "commander";
import { buildOutcomeModel, checkStudy, type OutcomeModel } from "../models/index.js";
import type { Study } from "../study/index.js";
import { studyAt } from "./files.js";
import type { CommandIo } from "./io.js";
import { words } from "./options.js";
import { findingsText } from "./text.js";

/** What the commands that need an outcome model have in common. */
export interface OutcomeOptions {
  /** Coupons left out. */
  readonly without?: readonly string[];
  /** Folder of an older study to start from. */
  readonly older?: string;
}

/** Adds the options of {@link OutcomeOptions} to a command. */
export function withOutcomeOptions(command: Command): Command {
  return command
    .option("--without <coupons>", "coupons to leave out, parted by commas", words)
    .option(
      "--older <study>",
      "an older study to start from (another wire, diameter or base); it is forgotten as far as the new coupons disagree",
    );
}

/** The study's outcome model; what the check refuses is said first, since the model would believe it. */
export function outcomeModelOf(io: CommandIo, study: Study, options: OutcomeOptions = {}): OutcomeModel {
  warnOfRefusals(io, study);
  const without = new Set(options.without ?? []);
  return buildOutcomeModel(
    study.definition,
    study.coupons.filter(({ id, state }) => state === "logged" && !without.has(id)),
    options.older === undefined ? {} : { older: studyAt(io, options.older) },
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
