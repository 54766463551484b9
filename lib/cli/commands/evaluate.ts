import { rmSync } from "node:fs";
import { join } from "node:path";
import { type Command, InvalidArgumentError, Option } from "commander";
import {
  comparePlans,
  evaluatePlan,
  type ModelOrder,
  type PlanEvaluation,
  type Survival,
} from "../../design/index.js";
import { BeadbenchError, onlyDefined, valueUnless } from "../../errors/index.js";
import { fitStudy, gaveDimensions, pureErrors, resolvePriors, settingLimits } from "../../models/index.js";
import { type Coupon, createStudy, importCsv, type Study, scratchFolder } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { comparisonText, countText, evaluationText } from "../evaluation-text.js";
import { readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { foretold } from "../plain-fit.js";
import {
  type Foretold,
  isSettled,
  settlesText,
  type Wanted,
  wantedSizes,
  willSettleText,
} from "../settles-text.js";
import { type SurvivalOptions, survivalOf, survivalOption } from "../survival.js";
import { findingsText, wrap } from "../text.js";

interface EvaluateOptions extends DecimalOptions, SurvivalOptions {
  readonly against?: string;
  readonly model?: ModelOrder;
  readonly change?: number;
  readonly sd?: number;
  readonly detail?: boolean;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--against <file>", "another plan as CSV, side by side")
    .addOption(
      new Option("--model <order>", "what is to be fitted").choices(["linear", "interaction", "quadratic"]),
    )
    .option(
      "--change <amount>",
      "change in a response worth detecting (default: half of what the study allows it)",
      positive,
    )
    .option(
      "--sd <amount>",
      "scatter of that response from coupon to coupon, in the same unit (default: of its repeats)",
      positive,
    )
    .option("--detail", "effects, prediction errors, what hangs on each coupon, what leaks")
    .addOption(survivalOption(false))
    .addOption(new DecimalOption())
    .action(async (folder: string, file: string | undefined, options: EvaluateOptions) => {
      const study = studyAt(io, folder);
      resolvePriors(study);
      const sizes = sizesOf(study, options.sd);
      const survival = survivalOf(io, study, options);
      const judge = (plan: readonly NamedSettings[]): PlanEvaluation =>
        evaluate(study, plan, { ...options, sizes, survives: survival });
      const first = judge(
        file === undefined ? plannedSettings(study) : await settingsOf(io, study, { file, ...options }),
      );
      const { against } = options;
      if (against === undefined) {
        answer({ io, options, result: first, text: () => evaluateText(first, sizes, options.detail) });
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

/** The user's question first: whether the coupons settle what the study wants; then what stands in the way. */
function evaluateText(evaluation: PlanEvaluation, sizes: readonly ScatteredSize[], detail = false): string {
  const half = evaluation.prediction.shares.find(({ share }) => share >= 0.5)!;
  const doubt = half.standardError / evaluation.sd;
  const coupons = Math.round((evaluation.survivors?.expected ?? evaluation.runs) + evaluation.existing);
  const answers = sizes.map((size) =>
    size.now !== undefined && isSettled(size, size.now)
      ? settlesText(size, size.now, " by the coupons already run")
      : willSettleText(size, { ...size, doubt, coupons }),
  );
  const lead = answers.map((text) => `${wrap(text, "  ")}\n`).join("");
  if (detail) return `${lead}${lead === "" ? "" : "\n"}${evaluationText(evaluation)}`;
  const count = `${wrap(countText(evaluation))}\n`;
  const { rank, parameters } = evaluation;
  const terms =
    rank === parameters
      ? ""
      : `${wrap(`${parameters - rank} of ${parameters} effects cannot be told from these coupons.`)}\n`;
  const found = evaluation.findings.length === 0 ? "" : `\n${findingsText(evaluation.findings)}`;
  return `${count}${lead}${terms}${found}\nChances to see an effect, errors, what hangs on each coupon: evaluate --detail\n`;
}

/** A size the study wants between two ends, with its scatter from bead to bead, in its unit, and where that is from. */
interface ScatteredSize extends Wanted {
  readonly scatter: number;
  readonly known: string;
  /** How well a bead is foretold by the coupons run already, where they can be fitted. */
  readonly now?: Foretold;
}

/** The sizes a study wants with their scatter: as given, from the fit of the coupons run, from repeats, else a guess. */
function sizesOf(study: Study, sd: number | undefined): readonly ScatteredSize[] {
  const errors = pureErrors(study);
  const wantedOnes = wantedSizes(study.definition);
  const fit =
    sd !== undefined || wantedOnes.length === 0 || study.coupons.every(({ state }) => state === "planned")
      ? undefined
      : valueUnless("not-enough-data", () => fitStudy(study));
  return wantedOnes.map((wanted): ScatteredSize => {
    const { response, aim } = wanted;
    if (sd !== undefined) return { ...wanted, scatter: sd, known: "--sd" };
    const fitted = fit?.responses.find((one) => one.response === response);
    if (fitted !== undefined) {
      const now = foretold(fitted, aim);
      return { ...wanted, scatter: now.scatter, known: "by the fit of the coupons run", now };
    }
    const repeats = errors.find((one) => one.response === response && one.df >= LEAST_REPEATS);
    return repeats === undefined
      ? { ...wanted, scatter: GUESSED_SCATTER * aim, known: "5 % taken, for want of repeats: give --sd" }
      : { ...wanted, scatter: repeats.cv * aim, known: "from repeats" };
  });
}

const LEAST_REPEATS = 3;
/** Scatter of a bead's size over the size, where a study has no repeats. Common practice, no source. */
const GUESSED_SCATTER = 0.05;

function evaluate(
  study: Study,
  plan: readonly NamedSettings[],
  {
    sizes,
    survives,
    ...options
  }: EvaluateOptions & {
    readonly sizes: readonly ScatteredSize[];
    readonly survives: Survival | undefined;
  },
): PlanEvaluation {
  const { definition, coupons } = study;
  // What is hardest to hold says what is worth detecting; without a specification the ratio of 2 to 1 stands.
  const [tightest] = [...sizes].sort((a, b) => a.half / a.scatter - b.half / b.scatter);
  // A coupon that gave no dimensions tells none.
  const run = coupons.filter((coupon) => coupon.state === "logged" && gaveDimensions(study, coupon));
  return evaluatePlan(
    { factors: definition.factors, runs: plan.map(({ settings }) => ({ settings })) },
    onlyDefined({
      model: options.model,
      change: options.change ?? tightest?.half,
      sd: options.sd ?? tightest?.scatter,
      limits: settingLimits({ definition }),
      existing: run.map(({ settings }) => settings),
      survival: survives,
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
