import { type Command, Option } from "commander";
import {
  type Attempt,
  attempts,
  type BuildProgress,
  buildProgress,
  followedReadings,
  plannedRunning,
  planSupplies,
  requireAttempt,
} from "../../endurance/index.js";
import { BeadbenchError, onlyDefined, ownValue, requireThat } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { cautionsFor } from "../../presets/index.js";
import { renderReport, resumeSheet } from "../../report/index.js";
import { type ExposureKind, exposureUnits } from "../../study/definition/index.js";
import { appendEntries, type BuildBody, type Exposure, type Study, suggestion } from "../../study/index.js";
import { convert, kindFault, type Quantity, sameDimension } from "../../units/index.js";
import { answer } from "../answer.js";
import { parseAssignments } from "../assignments.js";
import { attemptText, listText, progressText } from "../build-text.js";
import { parseExposure } from "../exposure.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import {
  gasTakenAsArgon,
  keepPlan,
  openBuild,
  planOf,
  requirePlannedLayer,
  usableGas,
} from "../kept-plan.js";
import { wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { whyImpossible } from "../readings.js";

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
    .option("-l, --layer <n>", "layers finished so far", wholeNumber(0))
    .option(
      "--at <running...>",
      'run so far in this build, such as arc_time="3.2 h" starts=40 (default: as planned)',
    )
    .option("-p, --pause", "the build is halted")
    .option("-r, --resume", "the build goes on")
    .addOption(new Option("--end <outcome>", "the build has ended").choices(outcomes))
    .option("--note <text>", "what is to be remembered")
    .addOption(new OutputOption("--sheet <file>", "write the pause and resume sheet, for screen and paper"))
    .addHelpText(
      "after",
      `
Readings are name=value with the unit: standoff, standoff_set (where it was set anew), height, cylinder_pressure,
interpass_temperature and any other. While one build is under way it need not be named: beadbench build my-study -l 41 standoff=3.1mm
  beadbench build my-study ring-3 --start --plan ring.json
  beadbench build my-study ring-3 standoff="3.1 mm" cylinder_pressure="120 bar" --layer 40
  beadbench incident my-study "wire stuck" --build ring-3 --layer 41 --lost "15 min"
  beadbench build my-study ring-3 --pause --sheet resume.html
With no more than its name the build is told: what is done, what is left, the chance to finish, what to watch.`,
    )
    .action(
      // biome-ignore lint/complexity/useMaxParams: the command line hands over one argument each
      async (folder: string, given: string | undefined, items: readonly string[], options: BuildOptions) => {
        const study = studyAt(io, folder);
        // Where readings stand in the place of the name, the build under way is meant.
        const readings = given?.includes("=") === true ? [given, ...items] : items;
        if (given === undefined && eventOf(readings, options) === undefined && options.sheet === undefined) {
          const all = attempts(study);
          answer({ io, options, result: all, text: () => listText(all) });
          return;
        }
        const name = given === undefined || given.includes("=") ? openBuild(study) : given;
        const after = logStep(io, study, { name, items: readings, options });
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
  requireThat(name.trim() !== "", `a build needs a name, such as ring-1, got "${name}"`);
  const { values, units } = parseAssignments(study.definition, items, { exact: true });
  const numbers = Object.fromEntries(
    Object.entries(values).filter(([, value]) => typeof value === "number"),
  ) as Record<string, number>;
  requireThat(
    Object.keys(numbers).length === items.length,
    'a reading of a build is a number with its unit, such as standoff="3.1 mm"; put words into --note',
  );
  for (const reading of Object.keys(numbers))
    checkReading(io, reading, { value: ownValue(numbers, reading)!, unit: ownValue(units, reading)! });
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

/** Highest pressure a cylinder is filled to, bar, and the tallest part, mm; common practice, no source. */
const HIGHEST: Readonly<Record<string, readonly [limit: number, unit: string]>> = {
  cylinder_pressure: [350, "bar"],
  height: [5000, "mm"],
};

/** Readings that have the bounds of a setting of another name. */
const boundedAs: Readonly<Record<string, string>> = {
  standoff_set: "standoff",
  interpass_temperature: "temperature",
};

/** Refuses what no rig reads, and asks about a name that nothing follows. */
function checkReading(io: CommandIo, name: string, { value, unit }: Quantity): void {
  const followed = Object.keys(followedReadings);
  const like = ownValue(followedReadings as Readonly<Record<string, string>>, name);
  if (like === undefined) {
    const meant = suggestion(name, followed);
    if (meant !== "") io.note(`"${name}" is kept, and no forecast reads it${meant}\n`);
    return;
  }
  const typed = `"${name}=${value} ${unit}"`;
  requireThat(sameDimension(unit, like), `${typed} ${kindFault(unit, like)}`);
  const fault = whyImpossible(ownValue(boundedAs, name) ?? name, { value, unit });
  requireThat(fault === undefined, `${typed}: ${fault}`);
  const [highest, own] = ownValue(HIGHEST, name) ?? [Number.POSITIVE_INFINITY, unit];
  requireThat(
    convert(value, unit, own) <= highest,
    `${typed}: ${name.replaceAll("_", " ")} is at most ${highest} ${own}; check the unit and the decimal mark`,
  );
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

/** Running as told, or as planned for the layers finished. */
function exposureOf(
  study: Study,
  { name, options }: { readonly name: string; readonly options: BuildOptions },
): Exposure | undefined {
  const told = options.at === undefined ? undefined : parseExposure(options.at);
  if (options.layer === undefined) return told;
  const plan = planOf(study, name);
  if (plan === undefined) return told;
  requirePlannedLayer(study, { build: name, layer: options.layer });
  const running = plannedRunning(planSupplies(plan), options.layer);
  const asPlanned = Object.fromEntries(
    Object.entries(running).map(([kind, value]) => [
      kind,
      { value: rounds(value, 6), unit: exposureUnits[kind as ExposureKind] },
    ]),
  );
  return { ...asPlanned, ...told };
}

function progressOf(study: Study, name: string): BuildProgress | Attempt {
  const attempt = requireAttempt(study, name);
  const plan = planOf(study, name);
  if (plan === undefined) return attempt;
  const progress = buildProgress(study, plan, { build: name, gasContent: usableGas(study, plan) });
  return progress.gasInCylinder === null
    ? progress
    : { ...progress, findings: [...progress.findings, ...gasTakenAsArgon(study)] };
}
