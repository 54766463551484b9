import { type Command, Option } from "commander";
import {
  type Criterion,
  designKinds,
  type Effort,
  type EvaluationOptions,
  evaluatePlan,
  type ModelOrder,
  type Plan,
  type PlanEffort,
  type PlannedRun,
  type PlanOptions,
  planCoupons,
} from "../../design/index.js";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { couponCost, dimensionsOf, resolvePriors, type Settings, settingLimits } from "../../models/index.js";
import { fixed } from "../../numeric/index.js";
import type { Study } from "../../study/index.js";
import { convert, findUnit, parseQuantity } from "../../units/index.js";
import { answer } from "../answer.js";
import { evaluationText } from "../evaluation-text.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { type PlannedCoupon, recordPlanned } from "../record-planned.js";
import { runsTable } from "../runs-table.js";
import { findingsText } from "../text.js";
import { propose } from "./next.js";

interface PlanCommandOptions {
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
  command
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
      const plan = planCoupons(planOptions(study, options));
      const evaluation =
        options.evaluate === true ? evaluatePlan(plan, evaluationOptions(study, options)) : undefined;
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

function planOptions(study: Study, options: PlanCommandOptions): PlanOptions {
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
    budget: budget === undefined ? undefined : readBudget(budget),
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
    existing: settingsSoFar(study),
    couponEffort: couponCost({ definition }),
    minutesPerHardChange: definition.costs?.minutesPerHardChange,
  });
}

/** Settings of the coupons run or planned so far that have all factors. */
function settingsSoFar({ definition, coupons }: Study): readonly Settings[] {
  return coupons
    .filter(
      ({ state, settings }) => state !== "voided" && definition.factors.every(({ name }) => name in settings),
    )
    .map(({ settings }) => settings);
}

function evaluationOptions(study: Study, { model }: PlanCommandOptions): EvaluationOptions {
  return onlyDefined({
    model,
    limits: settingLimits(study),
    existing: settingsSoFar(study),
    seed: study.definition.seed,
  });
}

function gather(text: string, before: readonly string[] = []): readonly string[] {
  return [...before, text];
}

/** Minutes, litres and metres from texts such as "240 min". */
function readBudget(texts: readonly string[]): Partial<Effort> {
  return Object.fromEntries(
    texts.map((text) => {
      const { value, unit } = parseQuantity(text);
      const { dimension } = findUnit(unit);
      if (dimension === "time") return ["minutes", convert(value, unit, "min")];
      if (dimension === "volume") return ["gas", convert(value, unit, "L")];
      if (dimension === "length") return ["wire", convert(value, unit, "m")];
      throw new BeadbenchError(
        "bad-argument",
        `--budget "${text}" is ${dimension}; give a time, litres of gas or metres of wire`,
      );
    }),
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

function planText(study: Study, plan: Plan): string {
  return [
    `${plan.runs.length} coupons, design ${plan.design}, seed ${plan.seed}\n\n`,
    runsTable(study.definition, plan.runs, study.definition.blocks[0]),
    plan.effort === undefined ? "" : `\n${effortText(plan.effort)}`,
    plan.findings.length === 0 ? "" : `\n${findingsText(plan.findings)}`,
  ].join("");
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
