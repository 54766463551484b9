import { type Command, Option } from "commander";
import { onlyDefined } from "../../errors/index.js";
import type { Study } from "../../study/index.js";
import { type Aim, proposeNext } from "../../window/index.js";
import { answer } from "../answer.js";
import { readBudget } from "../budget.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { nextText, plannedRuns } from "../next-text.js";
import { gather, share, wholeNumber } from "../options.js";
import { checkedBasis, modelFrom, type OutcomeOptions, withOutcomeOptions } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { recordPlanned } from "../record-planned.js";

interface NextOptions extends OutcomeOptions {
  readonly coupons?: number;
  readonly budget?: readonly string[];
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
    .option("--coupons <n>", "how many (default: 3, or as many as the budget pays for)", wholeNumber(1))
    .option(
      "--budget <amount>",
      'most to spend, such as "40 EUR" by the costs of study.json, "240 min", "900 L" of gas, "60 m" of wire',
      gather,
    )
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

/** Coupons proposed where no number is given; with a budget at most so many. */
const USUAL = 3;
const MOST_BY_BUDGET = 24;

/** Proposes coupons, prints them with their reasons, and writes them to the journal as planned. */
export function propose(io: CommandIo, study: Study, options: NextOptions): void {
  const { aim, confirm, control, level, seed } = options;
  const budget = options.budget === undefined ? undefined : readBudget(options.budget, study.definition);
  const basis = checkedBasis(io, study, options);
  const model = modelFrom(basis);
  io.doing?.("weighing coupons to come");
  const result = proposeNext(model, {
    coupons: options.coupons ?? (budget === undefined ? USUAL : MOST_BY_BUDGET),
    aim,
    logged: basis.coupons,
    ...onlyDefined({ confirm, control, level, seed, budget }),
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
