import { type Command, Option } from "commander";
import { onlyDefined } from "../../errors/index.js";
import { fixed, percent } from "../../numeric/index.js";
import { settingsText } from "../../study/definition/index.js";
import type { Study, StudyDefinition } from "../../study/index.js";
import { type Aim, type Proposals, proposeNext } from "../../window/index.js";
import { answer } from "../answer.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { share, wholeNumber } from "../options.js";
import { type OutcomeOptions, outcomeModelOf, withOutcomeOptions } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { plainAim, plainStanding } from "../plain-window.js";
import { recordPlanned } from "../record-planned.js";
import { runsTable } from "../runs-table.js";
import { findingsText, wrap } from "../text.js";

interface NextOptions extends OutcomeOptions {
  readonly coupons: number;
  readonly aim: Aim;
  readonly confirm?: number;
  readonly control?: boolean;
  readonly level?: number;
  readonly seed?: number;
  readonly csv?: string;
  readonly dry?: boolean;
  readonly detail?: boolean;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  withOutcomeOptions(command)
    .option("--coupons <n>", "how many", wholeNumber(1), 3)
    .addOption(
      new Option(
        "--aim <aim>",
        "explore: where coupons survive; hit: meet the specification; edge: pin the boundary",
      )
        .choices(["explore", "hit", "edge"])
        .default("hit"),
    )
    .option("--confirm <n>", "how many of them repeat the recommended setting", wholeNumber(0))
    .option("--control", "first of them a control: a sound coupon run again, once a day, to tell days apart")
    .option("--level <share>", "chance at the edge to pin", share)
    .option("--seed <n>", "seed of the search (default: the study's)", wholeNumber(0))
    .addOption(new OutputOption("--csv <file>", "also write them as CSV to fill in at the rig"))
    .option("--dry", "show the proposals without writing them to the journal")
    .option("--detail", "aim, seed and gains with their digits")
    .action((folder: string, options: NextOptions) => propose(io, studyAt(io, folder), options));
}

/** Proposes coupons, prints them with their reasons, and writes them to the journal as planned. */
export function propose(io: CommandIo, study: Study, options: NextOptions): void {
  const { coupons, aim, confirm, control, level, seed } = options;
  const model = outcomeModelOf(io, study, options);
  io.doing?.("weighing coupons to come");
  const result = proposeNext(model, {
    coupons,
    aim,
    ...onlyDefined({ confirm, control, level, seed }),
  });
  // With the CSV on standard output, the proposals are not printed twice.
  answer({
    io,
    options,
    result,
    text: () => (options.csv === "-" ? "" : nextText(study.definition, result, options.detail === true)),
  });
  recordPlanned({ io, study, runs: plannedRuns(result), ...options });
}

function plannedRuns(result: Proposals) {
  return result.proposals.map(({ settings, role, why }) => ({
    settings: Object.fromEntries(settings.map(({ factor, value }) => [factor, value])),
    role,
    note: why,
  }));
}

function nextText(definition: StudyDefinition, result: Proposals, detail: boolean): string {
  const { best, stopping, proposals, batchGain } = result;
  const standing = detail
    ? `Best so far: ${settingsText(best.settings)}, chance ${percent(best.chance)}\nAll ${proposals.length} together are expected to raise it by ${fixed(100 * batchGain, 1)} points.`
    : wrap(plainStanding(definition, result));
  return [
    `${detail ? `${proposals.length} coupons, aim ${result.aim}, seed ${result.seed}` : plainAim(result)}\n\n`,
    runsTable(definition, plannedRuns(result)),
    "\nWhy\n",
    ...proposals.map(({ why }, i) => `${String(i + 1).padStart(3)}  ${wrap(why, "     ")}\n`),
    `\n${standing}\n`,
    `${wrap(stopping.message)}\n`,
    result.findings.length === 0 ? "" : `\n${findingsText(result.findings)}`,
  ].join("");
}
