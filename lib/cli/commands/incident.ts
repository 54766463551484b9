import { type Command, Option } from "commander";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { asName, exposureKinds, isName, NAME_RULE } from "../../study/definition/index.js";
import type { IncidentBody } from "../../study/journal/index.js";
import { appendEntries, type Study } from "../../study/record/index.js";
import { parseQuantity } from "../../units/index.js";
import { answer } from "../answer.js";
import { parseExposure } from "../exposure.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";

interface IncidentOptions {
  readonly outcome: IncidentBody["outcome"];
  readonly coupon?: string;
  readonly cause?: string;
  readonly build?: string;
  readonly layer?: number;
  readonly at?: readonly string[];
  readonly lost?: string;
  readonly note?: string;
  readonly json?: boolean;
}

const outcomes = ["carried_on", "resumed", "scrapped"] as const satisfies readonly IncidentBody["outcome"][];

export function define(command: Command, io: CommandIo): void {
  command
    .addOption(
      new Option("--outcome <outcome>", "resumed: it cost time; scrapped: it cost the part")
        .choices(outcomes)
        .default("resumed"),
    )
    .option("--coupon <coupon>", "on which coupon")
    .option("--build <build>", "in which build (with --layer: the one under way)")
    .option("-l, --layer <n>", "in which layer of the build", wholeNumber(1))
    .option(
      "--at <running...>",
      `how much of the build had been run, such as arc_time="3.2 h" starts=40 (${exposureKinds.join(", ")})`,
    )
    .option("--cause <text>", "why, in your own words")
    .option("-t, --lost <time>", 'time lost, such as "20 min"')
    .option("--note <text>", "what happened")
    .option("--json", "print the new journal entry as JSON")
    .action(async (folder: string, what: string, options: IncidentOptions) => {
      const study = studyAt(io, folder);
      const { outcome, coupon, cause, layer, at, lost, note } = options;
      const build = layer === undefined ? options.build : await buildOfLayer(study, { ...options, layer });
      const body: IncidentBody = {
        kind: "incident",
        what: snakeCase(what),
        outcome,
        ...onlyDefined({ cause, coupon, build, layer }),
        ...(at === undefined ? {} : { exposure: parseExposure(at) }),
        ...(lost === undefined ? {} : { lostTime: parseQuantity(lost, "min") }),
        ...onlyDefined({ note }),
      };
      const entry = appendEntries(study, [body], { clock: io.clock }).entries.at(-1);
      answer({ io, options, result: entry, text: () => `logged as entry ${entry?.seq}\n` });
    });
}

/** The build a layer was of, which the plan must hold; plans are loaded for this alone. */
async function buildOfLayer(
  study: Study,
  { build, layer }: { readonly build?: string; readonly layer: number },
): Promise<string | undefined> {
  const { openBuild, requirePlannedLayer } = await import("../kept-plan.js");
  const named = build ?? openBuild(study);
  if (named !== undefined) requirePlannedLayer(study, { build: named, layer });
  return named;
}

function snakeCase(what: string): string {
  const name = asName(what);
  if (!isName(name)) {
    throw new BeadbenchError(
      "bad-argument",
      `name the incident in a few plain words, such as wire_stuck: the name ${NAME_RULE}, got "${what}"`,
    );
  }
  return name;
}
