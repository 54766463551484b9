import { existsSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { type Command, Option } from "commander";
import {
  type Attempt,
  attempts,
  type BuildPlan,
  type BuildProgress,
  buildProgress,
  plannedRunning,
  planSupplies,
  requireAttempt,
} from "../../endurance/index.js";
import { BeadbenchError, onlyDefined, requireThat } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { cautionsFor } from "../../presets/index.js";
import { cylinderContent } from "../../process/index.js";
import { renderReport, resumeSheet } from "../../report/index.js";
import { type ExposureKind, exposureUnits } from "../../study/definition/index.js";
import { appendEntries, attachFile, type BuildBody, type Exposure, type Study } from "../../study/index.js";
import { answer } from "../answer.js";
import { parseAssignments } from "../assignments.js";
import { attemptText, listText, progressText } from "../build-text.js";
import { parseExposure } from "../exposure.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { parseBuildPlan } from "../plan-files.js";

interface BuildOptions {
  readonly start?: boolean;
  readonly plan?: string;
  readonly layer?: number;
  readonly at?: readonly string[];
  readonly pause?: boolean;
  readonly resume?: boolean;
  readonly end?: NonNullable<BuildBody["outcome"]>;
  readonly note?: string;
  readonly sheet?: string;
  readonly json?: boolean;
}

const outcomes = ["finished", "scrapped", "given_up"] as const satisfies readonly BuildOptions["end"][];

export function define(command: Command, io: CommandIo): void {
  command
    .option("--start", "the build begins")
    .option("--plan <file>", "with --start: its plan, from `beadbench forecast --plan`; kept with the study")
    .option("--layer <n>", "layers finished so far", wholeNumber(0))
    .option(
      "--at <running...>",
      'run so far in this build, such as arc_time="3.2 h" starts=40 (default: as planned)',
    )
    .option("--pause", "the build is halted")
    .option("--resume", "the build goes on")
    .addOption(new Option("--end <outcome>", "the build has ended").choices(outcomes))
    .option("--note <text>", "what is to be remembered")
    .addOption(new OutputOption("--sheet <file>", "write the pause and resume sheet, for screen and paper"))
    .addHelpText(
      "after",
      `
Readings are name=value with the unit: standoff, cylinder_pressure, interpass_temperature and any other.
  beadbench build my-study ring-3 --start --plan ring.json
  beadbench build my-study ring-3 standoff="3.1 mm" cylinder_pressure="120 bar" --layer 40
  beadbench incident my-study "wire stuck" --build ring-3 --layer 41 --lost "15 min"
  beadbench build my-study ring-3 --pause --sheet resume.html
With no more than its name the build is told: what is done, what is left, the chance to finish, what to watch.`,
    )
    .action(
      // biome-ignore lint/complexity/useMaxParams: the command line hands over one argument each
      async (folder: string, name: string | undefined, items: readonly string[], options: BuildOptions) => {
        const study = studyAt(io, folder);
        if (name === undefined) {
          const all = attempts(study);
          answer({ io, options, result: all, text: () => listText(all) });
          return;
        }
        const after = logStep(io, study, { name, items, options });
        const found = progressOf(after, name);
        if (options.sheet !== undefined) {
          if ("plan" in found)
            writeText(
              io,
              options.sheet,
              await renderReport(resumeSheet(study, found, cautionsFor(study.definition.process))),
            );
          else
            throw new BeadbenchError(
              "bad-argument",
              `${name} was started without a plan: there is nothing to re-enter by; start builds with --plan`,
            );
        }
        answer({
          io,
          options,
          result: found,
          text: () => ("plan" in found ? progressText(found) : attemptText(found)),
        });
      },
    );
}

/** Logs what was told of a build; nothing where only its state is asked. */
function logStep(
  io: CommandIo,
  study: Study,
  {
    name,
    items,
    options,
  }: { readonly name: string; readonly items: readonly string[]; readonly options: BuildOptions },
): Study {
  const event = eventOf(items, options);
  if (event === undefined) return study;
  const { values, units } = parseAssignments(study.definition, items, { exact: true });
  const numbers = Object.fromEntries(
    Object.entries(values).filter(([, value]) => typeof value === "number"),
  ) as Record<string, number>;
  requireThat(
    Object.keys(numbers).length === items.length,
    'a reading of a build is a number with its unit, such as standoff="3.1 mm"; put words into --note',
  );
  const plan = event === "started" ? keepPlan(io, study, { name, file: options.plan }) : undefined;
  const { layer, note, end } = options;
  const exposure = exposureOf(study, { name, options });
  const body: BuildBody = {
    kind: "build",
    build: name,
    event,
    ...onlyDefined({ layer, plan, note }),
    ...(end === undefined ? {} : { outcome: end }),
    ...(exposure === undefined ? {} : { exposure }),
    ...(items.length === 0 ? {} : { values: numbers, units }),
  };
  return appendEntries(study, [body], { clock: io.clock });
}

function eventOf(items: readonly string[], options: BuildOptions): BuildBody["event"] | undefined {
  const { start, pause, resume, end, layer, at, note, plan } = options;
  const told = [
    start === true ? ("started" as const) : [],
    pause === true ? ("paused" as const) : [],
    resume === true ? ("resumed" as const) : [],
    end === undefined ? [] : ("ended" as const),
  ].flat();
  requireThat(told.length <= 1, "one step at a time: --start, --pause, --resume or --end");
  requireThat(plan === undefined || told[0] === "started", "--plan goes with --start");
  const more = layer !== undefined || at !== undefined || note !== undefined || items.length > 0;
  return told[0] ?? (more ? "progress" : undefined);
}

/** Keeps a plan with the study, under a name of the build's own. */
function keepPlan(
  io: CommandIo,
  study: Study,
  { name, file }: { readonly name: string; readonly file: string | undefined },
): string | undefined {
  if (file === undefined) return undefined;
  requireThat(
    !attempts(study).some(({ build }) => build === name),
    `build ${name} was started before; choose another name for another attempt`,
  );
  const path = resolve(io.folder, file);
  requireThat(existsSync(path), `there is no file ${file}`);
  parseBuildPlan(readFileSync(path, "utf8"), file);
  const after = attachFile(study, path, { clock: io.clock, note: `plan of build ${name}` });
  const kept = after.entries.at(-1);
  return kept?.kind === "attached" ? kept.file : undefined;
}

/** Running as told, or as planned for the layers finished. */
function exposureOf(
  study: Study,
  { name, options }: { readonly name: string; readonly options: BuildOptions },
): Exposure | undefined {
  const told = options.at === undefined ? undefined : parseExposure(options.at);
  if (options.layer === undefined) return told;
  const plan = planOf(study, name);
  if (plan === undefined) return told;
  const planned = plan.outline.layers.length;
  requireThat(
    options.layer <= planned,
    `the plan of ${name} has ${planned} layers, got --layer ${options.layer}; layers beyond the plan go into --note`,
  );
  const running = plannedRunning(planSupplies(plan), options.layer);
  const asPlanned = Object.fromEntries(
    Object.entries(running).map(([kind, value]) => [
      kind,
      { value: rounds(value, 6), unit: exposureUnits[kind as ExposureKind] },
    ]),
  );
  return { ...asPlanned, ...told };
}

/** The plan kept with a build, if it has one. */
function planOf(study: Study, name: string): BuildPlan | undefined {
  const file = study.buildSteps.find(({ build, plan }) => build === name && plan !== undefined)?.plan;
  if (file === undefined) return undefined;
  const path = join(study.folder, "attachments", file);
  try {
    return parseBuildPlan(readFileSync(path, "utf8"), `attachments/${file}`);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    throw new BeadbenchError(
      "not-found",
      `the plan of ${name} is missing: restore attachments/${file} from a copy of the study`,
    );
  }
}

function progressOf(study: Study, name: string): BuildProgress | Attempt {
  const attempt = requireAttempt(study, name);
  const plan = planOf(study, name);
  if (plan === undefined) return attempt;
  const { cylinder_volume: volume, cylinder_rest: rest } = plan.assumptions;
  const litres = (pressure: number): number => 1000 * cylinderContent(volume.value, pressure);
  return buildProgress(study, plan, {
    build: name,
    gasContent: (pressure) => Math.max(0, litres(pressure + 1) - litres(rest.value)),
  });
}
