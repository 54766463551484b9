import { type Command, Option } from "commander";
import {
  type Criterion,
  designKinds,
  type Effort,
  type EvaluationOptions,
  evaluatePlan,
  type ModelOrder,
  type Plan,
  type PlannedRun,
  type PlanOptions,
  planCoupons,
  type Survival,
} from "../../design/index.js";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import {
  couponCost,
  dimensionsOf,
  gaveDimensions,
  resolvePriors,
  settingLimits,
} from "../../models/index.js";
import { mean } from "../../numeric/index.js";
import type { Coupon, Study } from "../../study/index.js";
import { answer } from "../answer.js";
import { readBudget } from "../budget.js";
import { evaluationText } from "../evaluation-text.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { gather, wholeNumber } from "../options.js";
import { type OutcomeOptions, withEarlierOptions } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { planText } from "../plan-text.js";
import { type PlannedCoupon, recordPlanned } from "../record-planned.js";
import { hasAllSettings, type SurvivalOptions, survivalOf, survivalOption } from "../survival.js";
import { propose } from "./next.js";

interface PlanCommandOptions extends SurvivalOptions, Pick<OutcomeOptions, "like" | "older"> {
  readonly coupons?: number;
  readonly budget?: readonly string[];
  readonly design?: string;
  readonly centre?: number;
  readonly repeats?: number;
  readonly blocks?: number;
  readonly session?: number;
  readonly order?: "random" | "drift-robust";
  readonly criterion?: Criterion;
  readonly model?: ModelOrder;
  readonly seed?: number;
  readonly evaluate?: boolean;
  readonly csv?: string;
  readonly json?: boolean;
  readonly dry?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  withEarlierOptions(command)
    .option("--coupons <n>", "most coupons, centre repeats included", wholeNumber(1))
    .option("--budget <amount>", 'most to spend, such as "240 min", "900 L" of gas, "60 m" of wire', gather)
    .option("--design <kind>", `kind of plan: ${designKinds.join(", ")}`)
    .option("--centre <n>", "how many repeat the centre", wholeNumber(0))
    .option("--repeats <n>", "optimal plans: coupons spent on exact repeats", wholeNumber(0))
    .option("--blocks <n>", "blocks (days, cylinders) of nearly equal size", wholeNumber(1))
    .option("--session <n>", "coupons per work session, each opened by a control coupon", wholeNumber(2))
    .addOption(new Option("--order <order>", "order of work").choices(["random", "drift-robust"]))
    .addOption(
      new Option("--criterion <letter>", "optimal plans: what is made small").choices(["D", "I", "A"]),
    )
    .addOption(
      new Option("--model <order>", "what is to be fitted").choices(["linear", "interaction", "quadratic"]),
    )
    .addOption(survivalOption(true))
    .option("--seed <n>", "seed of every random choice (default: the study's)", wholeNumber(0))
    .option("--evaluate", "also judge the plan: power, standard errors, leverage, what hangs on each coupon")
    .addOption(new OutputOption("--csv <file>", "also write them as CSV to fill in at the rig"))
    .option("--dry", "show the plan without writing it to the journal")
    .action((folder: string, options: PlanCommandOptions) => {
      const study = studyAt(io, folder);
      resolvePriors(study);
      if (firstByPhysics(study, options)) {
        io.note(
          "This study says which beads are good and has no coupons yet: the first ones follow the physics. Name a --design for a classical plan.\n",
        );
        propose(io, study, { ...options, coupons: options.coupons!, aim: "hit" });
        return;
      }
      const known = couponsSoFar(study, survivalOf(io, study, options));
      const plan = planCoupons(planOptions(study, options, known));
      const evaluation =
        options.evaluate === true ? evaluatePlan(plan, evaluationOptions(study, options, known)) : undefined;
      const text = () =>
        `${planText(study, plan)}${evaluation === undefined ? "" : `\n${evaluationText(evaluation)}`}`;
      // With the CSV on standard output, the rest goes to the notes.
      if (options.csv === "-") io.note(text());
      else answer({ io, options, result: evaluation === undefined ? plan : { ...plan, evaluation }, text });
      recordPlanned({ io, study, runs: plan.runs.map((run) => plannedCoupon(study, run)), ...options });
    });
}

/** Options that ask for a plan of the design kind. */
const classical = [
  "design",
  "budget",
  "centre",
  "repeats",
  "blocks",
  "session",
  "order",
  "criterion",
  "model",
  "evaluate",
  "survival",
] as const;

/** Whether the first coupons are better placed by physics: nothing logged, a specification, no design asked for. */
function firstByPhysics({ definition, coupons }: Study, options: PlanCommandOptions): boolean {
  return (
    options.coupons !== undefined &&
    classical.every((name) => options[name] === undefined) &&
    coupons.every(({ state }) => state !== "logged") &&
    dimensionsOf(definition).some(({ spec }) => spec !== undefined)
  );
}

/** A planned run as the journal keeps it: its block in the study's first block column, the rest in a note. */
function plannedCoupon({ definition }: Study, run: PlannedRun): PlannedCoupon {
  const [column] = definition.blocks;
  const note = [
    run.block === undefined || column !== undefined ? "" : `block ${run.block}`,
    run.session === undefined ? "" : `session ${run.session}`,
    run.wholePlot === undefined ? "" : `group ${run.wholePlot} of the hard-to-change settings`,
  ].filter((part) => part !== "");
  return {
    settings:
      run.block === undefined || column === undefined
        ? run.settings
        : { ...run.settings, [column]: String(run.block) },
    role: run.role,
    ...(note.length === 0 ? {} : { note: note.join(", ") }),
  };
}

function planOptions(study: Study, options: PlanCommandOptions, known: KnownCoupons): PlanOptions {
  const { definition } = study;
  const { coupons, budget, blocks, centre, repeats, session, order, criterion, model } = options;
  if (coupons === undefined && budget === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      "say how many coupons with --coupons, or what may be spent with --budget",
    );
  }
  return onlyDefined({
    factors: definition.factors,
    coupons,
    budget: budget === undefined ? undefined : planBudget(budget, study),
    design: options.design === undefined ? undefined : designKind(options.design),
    centreRepeats: centre,
    repeats,
    blocks,
    session: session === undefined ? undefined : { coupons: session },
    order,
    criterion,
    model,
    limits: settingLimits({ definition }),
    seed: options.seed ?? definition.seed,
    ...known,
    survivalLevel: typeof options.survival === "number" ? options.survival : undefined,
    couponEffort: couponCost({ definition }),
    minutesPerHardChange: definition.costs?.minutesPerHardChange,
  });
}

/** What is known of coupons run or planned so far, and of those to come. */
type KnownCoupons = Required<Pick<EvaluationOptions, "existing" | "existingSurvival">> &
  Pick<EvaluationOptions, "survival">;

/** The coupons run or planned so far that have all factors: those that failed tell nothing, those planned what is foreseen. */
function couponsSoFar(study: Study, survival: Survival | undefined): KnownCoupons {
  const coupons = study.coupons.filter(
    (coupon) => coupon.state !== "voided" && hasAllSettings(study, coupon),
  );
  const lives = (coupon: Coupon): number => {
    if (coupon.state === "logged") return gaveDimensions(study, coupon) ? 1 : 0;
    return survival === undefined ? 1 : mean(Array.from(survival(coupon.settings)));
  };
  return {
    existing: coupons.map(({ settings }) => settings),
    existingSurvival: coupons.map(lives),
    ...onlyDefined({ survival }),
  };
}

function evaluationOptions(
  study: Study,
  { model }: PlanCommandOptions,
  { existing, existingSurvival, survival }: KnownCoupons,
): EvaluationOptions {
  // Failed coupons tell nothing, and are not counted.
  const told = (_: unknown, i: number): boolean => existingSurvival[i]! > 0;
  return onlyDefined({
    model,
    limits: settingLimits(study),
    existing: existing.filter(told),
    existingSurvival: existingSurvival.filter(told),
    survival,
    seed: study.definition.seed,
  });
}

/** What a plan may spend; the money of a single coupon depends on its settings, and is for `next` to weigh. */
function planBudget(texts: readonly string[], study: Study): Partial<Effort> {
  const { money, ...budget } = readBudget(texts, study.definition);
  if (money === undefined) return budget;
  throw new BeadbenchError(
    "bad-argument",
    "a plan takes a budget of time, gas or wire; money is for `next --budget`",
  );
}

function designKind(text: string): Plan["design"] {
  const found = designKinds.find((kind) => kind === text);
  if (found === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `--design "${text}" is unknown; choose one of ${designKinds.join(", ")}`,
    );
  }
  return found;
}
