import type { Command } from "commander";
import { gate } from "../../models/gate/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import type { StudyDefinition } from "../../study/definition/index.js";
import { settingsText } from "../../study/definition/index.js";
import type { Coupon, Study } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { logLine } from "../log-line.js";
import { isStudyFolder } from "../study-folder.js";
import { wrap } from "../text.js";

/** What to do next, and the command that does it. */
interface Step {
  readonly why: string;
  readonly commands: readonly string[];
}

export function define(command: Command, io: CommandIo): void {
  command.action((folder: string | undefined, options: AnswerOptions) => {
    if (folder === undefined && !isStudyFolder(io, ".")) {
      answer({
        io,
        options,
        result: { study: null, next: begin },
        text: () => `No study here.\n\n${stepText(begin)}`,
      });
      return;
    }
    const study = studyAt(io, folder ?? ".");
    const here = folder === undefined || folder === "." ? "" : ` ${folder}`;
    const next = nextStep(study, here);
    const counts = countsOf(study);
    answer({
      io,
      options,
      result: { study: study.definition.name, ...counts, next },
      text: () => `${stateText(study, counts)}\n${stepText(next)}`,
    });
  });
}

const begin: Step = {
  why: "Start one, from a file of results you have, or from nothing by answering a few questions; or look at the invented one first:",
  commands: ["beadbench new my-study --from results.csv", "beadbench new my-study", "beadbench demo"],
};

function countsOf({ coupons, incidents, changes }: Study) {
  const of = (state: Coupon["state"]): number => coupons.filter((coupon) => coupon.state === state).length;
  return {
    logged: of("logged"),
    planned: of("planned"),
    voided: of("voided"),
    incidents: incidents.length,
    changes: changes.length,
  };
}

function stateText(study: Study, counts: ReturnType<typeof countsOf>): string {
  const { definition } = study;
  const last = study.coupons
    .filter(({ state }) => state === "logged")
    .reduce<Coupon | undefined>((a, b) => (a === undefined || b.seq > a.seq ? b : a), undefined);
  const parts = [
    `${count(counts.logged, "coupon")} logged`,
    `${counts.planned} planned`,
    ...(counts.voided > 0 ? [`${counts.voided} voided`] : []),
    ...(counts.incidents > 0 ? [count(counts.incidents, "incident")] : []),
    ...(last === undefined ? [] : [`last ${last.id}, ${last.time.slice(0, 10)}`]),
  ];
  const wanted = wantedText(definition);
  return [
    wrap(`${definition.name}: ${parts.join(", ")}`, "  "),
    wrap(
      wanted === ""
        ? "No bead is called good yet: add a spec or a pass/fail check to study.json"
        : `Good is: ${wanted}`,
      "  ",
    ),
    "",
  ].join("\n");
}

/** What the study calls a good bead, in its own units. */
function wantedText({ responses }: StudyDefinition): string {
  return responses
    .flatMap(({ name, unit, kind, spec }) => {
      if (kind === "passFail") return [name];
      const { lower, upper } = spec ?? {};
      const ends =
        lower !== undefined && upper !== undefined
          ? `${settingDigits(lower)} to ${settingDigits(upper)}`
          : lower !== undefined
            ? `from ${settingDigits(lower)}`
            : upper !== undefined
              ? `up to ${settingDigits(upper)}`
              : undefined;
      return ends === undefined ? [] : [`${name} ${withUnit(ends, unit)}`];
    })
    .join(", ");
}

function nextStep(study: Study, here: string): Step {
  const { definition, coupons, integrity, buildSteps } = study;
  const logged = coupons.filter(({ state }) => state === "logged");
  const planned = coupons.filter(({ state }) => state === "planned");
  if (integrity.length > 0)
    return {
      why: "The record has damage: see what, before you log on.",
      commands: [`beadbench check${here}`],
    };
  const open = [...new Map(buildSteps.map(({ build, event }) => [build, event]))].filter(
    ([, event]) => event !== "ended",
  );
  const running = open.at(-1)?.[0];
  if (running !== undefined)
    return { why: `The build ${running} is under way:`, commands: [`beadbench build${here} ${running}`] };
  const odd = new Set(
    gate(
      study,
      logged.map(({ id }) => id),
    ).map(({ coupon }) => coupon),
  );
  const [next] = planned;
  const mind =
    odd.size === 0
      ? ""
      : ` ${count(odd.size, "coupon")} logged so far look odd: \`beadbench check${here}\` says why.`;
  if (next !== undefined)
    return {
      why: `Run ${next.id}${planned.length > 1 ? ` (first of ${planned.length})` : ""}: ${settingsOf(definition, next)}. Then log it:${mind}`,
      commands: [logLine(study, next, here)],
    };
  if (logged.length === 0)
    return {
      why: "No coupon yet: plan the first ones, or import those you have run.",
      commands: [`beadbench next${here} --coupons 6`, `beadbench import${here} results.csv`],
    };
  return {
    why: `Nothing is planned.${mind} Ask for the coupons worth running next, or for the settings known to be best so far:`,
    commands: [`beadbench next${here}`, `beadbench preset${here}`],
  };
}

function settingsOf({ factors }: StudyDefinition, { settings }: Coupon): string {
  return settingsText(
    factors.map(({ name, unit }) => ({ factor: name, value: settings[name] ?? "-", unit })),
  );
}

const count = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? "" : "s"}`;

const stepText = ({ why, commands }: Step): string =>
  `${wrap(why, "  ")}\n${commands.map((line) => `  ${line}\n`).join("")}`;
