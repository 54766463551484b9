import { rmSync } from "node:fs";
import { join } from "node:path";
import { type Command, InvalidArgumentError, Option } from "commander";
import { comparePlans, evaluatePlan, type ModelOrder, type PlanEvaluation } from "../../design/index.js";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { resolvePriors, settingLimits } from "../../models/index.js";
import { type Coupon, createStudy, importCsv, type Study, scratchFolder } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { comparisonText, evaluationText } from "../evaluation-text.js";
import { readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";

interface EvaluateOptions extends DecimalOptions {
  readonly against?: string;
  readonly model?: ModelOrder;
  readonly change: number;
  readonly sd: number;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--against <file>", "another plan as CSV, side by side")
    .addOption(
      new Option("--model <order>", "what is to be fitted").choices(["linear", "interaction", "quadratic"]),
    )
    .option("--change <amount>", "change in a response worth detecting", positive, 2)
    .option("--sd <amount>", "scatter of that response from coupon to coupon, in the same unit", positive, 1)
    .addOption(new DecimalOption())
    .action(async (folder: string, file: string | undefined, options: EvaluateOptions) => {
      const study = studyAt(io, folder);
      resolvePriors(study);
      const judge = (plan: readonly NamedSettings[]): PlanEvaluation => evaluate(study, plan, options);
      const first = judge(
        file === undefined ? plannedSettings(study) : await settingsOf(io, study, { file, ...options }),
      );
      const { against } = options;
      if (against === undefined) {
        answer({ io, options, result: first, text: () => evaluationText(first) });
        return;
      }
      const measures = comparePlans(first, judge(await settingsOf(io, study, { file: against, ...options })));
      answer({
        io,
        options,
        result: measures,
        text: () => comparisonText(measures, [file ?? "planned", against]),
      });
    });
}

function evaluate(study: Study, plan: readonly NamedSettings[], options: EvaluateOptions): PlanEvaluation {
  const { definition, coupons } = study;
  const run = coupons.filter(({ state }) => state === "logged");
  return evaluatePlan(
    { factors: definition.factors, runs: plan.map(({ settings }) => ({ settings })) },
    onlyDefined({
      model: options.model,
      change: options.change,
      sd: options.sd,
      limits: settingLimits({ definition }),
      existing: run.map(({ settings }) => settings),
      couponNames: [...plan, ...run].map(({ id }) => id),
      seed: definition.seed,
    }),
  );
}

/** A coupon of a plan. */
type NamedSettings = Pick<Coupon, "id" | "settings">;

function plannedSettings({ coupons }: Study): readonly NamedSettings[] {
  const planned = coupons.filter(({ state }) => state === "planned");
  if (planned.length === 0) {
    throw new BeadbenchError(
      "not-found",
      "no coupons are planned in this study; run `beadbench plan` first, or name a CSV file with settings",
    );
  }
  return planned;
}

/** Settings of a plan written as CSV, read by the rules of an import but into a study of its own. */
async function settingsOf(
  io: CommandIo,
  study: Study,
  { file, decimal }: DecimalOptions & { readonly file: string },
): Promise<readonly NamedSettings[]> {
  const text = await readText(io, file);
  const folder = scratchFolder();
  try {
    const copy = createStudy(join(folder, "plan"), study.definition);
    return importCsv(copy, text, { file, clock: io.clock, ...onlyDefined({ decimal }) }).study.coupons;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function positive(text: string): number {
  const value = Number(text);
  if (!(value > 0)) throw new InvalidArgumentError("Write a number above 0.");
  return value;
}
