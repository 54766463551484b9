import type { Command } from "commander";
import { type DesignKind, type Plan, planCoupons } from "../../design/index.js";
import { BeadbenchError } from "../../errors/index.js";
import { settingLimits } from "../../models/index.js";
import { appendEntries, exportCsv, type PlannedBody, type Study } from "../../study/index.js";
import { printJson, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";
import { runsTable } from "../runs-table.js";
import { findingsText } from "../text.js";

const designKinds = [
  "factorial",
  "fractional",
  "screening",
  "central-composite",
  "box-behnken",
  "definitive-screening",
  "latin-hypercube",
  "sobol",
  "optimal",
] as const satisfies readonly DesignKind[];

interface PlanCommandOptions {
  readonly coupons: number;
  readonly design?: string;
  readonly centre?: number;
  readonly seed?: number;
  readonly csv?: string;
  readonly json?: boolean;
  readonly dry?: boolean;
}

export function registerPlan(root: Command, io: CommandIo): void {
  root
    .command("plan <study>")
    .description("plan the first coupons, in run order, and write them to the journal")
    .requiredOption("--coupons <n>", "how many coupons, centre repeats included", wholeNumber(1))
    .option("--design <kind>", `kind of plan: ${designKinds.join(", ")}`)
    .option("--centre <n>", "how many of them repeat the centre", wholeNumber(0))
    .option("--seed <n>", "seed of the run order (default: the study's)", wholeNumber(0))
    .option("--csv <file>", "also write them as CSV to fill in at the rig (- for standard output)")
    .option("--dry", "show the plan without writing it to the journal")
    .option("--json", "print the result as JSON")
    .action((folder: string, options: PlanCommandOptions) => {
      const study = studyAt(io, folder);
      const plan = planCoupons({
        factors: study.definition.factors,
        coupons: options.coupons,
        ...(options.design === undefined ? {} : { design: designKind(options.design) }),
        ...(options.centre === undefined ? {} : { centreRepeats: options.centre }),
        limits: settingLimits(study.definition),
        seed: options.seed ?? study.definition.seed,
        existing: study.coupons.filter(({ state }) => state !== "voided").map(({ settings }) => settings),
      });
      if (options.json === true) printJson(io, plan);
      else if (options.csv !== "-") io.out(planText(study, plan));
      if (options.dry === true) return;
      recordPlanned(io, study, plan.runs, options.csv);
    });
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
    runsTable(study.definition, plan.runs),
    plan.findings.length === 0 ? "" : `\n${findingsText(plan.findings)}`,
  ].join("");
}

/** Writes planned coupons to the journal and, when asked, to a CSV with empty response columns. */
export function recordPlanned(
  io: CommandIo,
  study: Study,
  runs: readonly {
    readonly settings: PlannedBody["values"];
    readonly role: string;
    readonly note?: string;
  }[],
  csv: string | undefined,
): void {
  const bodies = runs.map(
    ({ settings, role, note }): PlannedBody => ({
      kind: "planned",
      values: settings,
      role,
      ...(note === undefined ? {} : { note }),
    }),
  );
  const before = new Set(study.coupons.map(({ id }) => id));
  const after = appendEntries(study, bodies, { clock: io.clock });
  const added = after.coupons.filter(({ id }) => !before.has(id));
  io.note(`${added.length} coupons planned: ${added[0]?.id} to ${added.at(-1)?.id}\n`);
  if (csv !== undefined) writeText(io, csv, exportCsv(after, { coupons: added }));
}
