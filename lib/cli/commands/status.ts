import { basename, resolve } from "node:path";
import type { Command } from "commander";
import { type NextStep, nextStep } from "../../models/gate/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { counted } from "../../numeric/index.js";
import type { StudyDefinition } from "../../study/definition/index.js";
import type { Coupon, Study } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { isStudyFolder } from "../study-folder.js";
import { wrap } from "../text.js";

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
      text: () =>
        `${stateText(study, counts, basename(resolve(io.folder, folder ?? ".")))}\n${stepText(next)}`,
    });
  });
}

const begin: NextStep = {
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

/** How a study stands; it is called by its folder, as commands call it, and by its own name where that differs. */
function stateText(study: Study, counts: ReturnType<typeof countsOf>, folder: string): string {
  const { definition } = study;
  const last = study.coupons
    .filter(({ state }) => state === "logged")
    .reduce<Coupon | undefined>((a, b) => (a === undefined || b.seq > a.seq ? b : a), undefined);
  const parts = [
    `${counted(counts.logged, "coupon")} logged`,
    `${counts.planned} planned`,
    ...(counts.voided > 0 ? [`${counts.voided} voided`] : []),
    ...(counts.incidents > 0 ? [counted(counts.incidents, "incident")] : []),
    ...(last === undefined ? [] : [`last ${last.id}, ${last.time.slice(0, 10)}`]),
  ];
  const wanted = wantedText(definition);
  return [
    wrap(
      `${definition.name}${definition.name === folder ? "" : ` (folder ${folder})`}: ${parts.join(", ")}`,
      "  ",
    ),
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

const stepText = ({ why, commands }: NextStep): string =>
  `${wrap(why, "  ")}\n${commands.map((line) => `  ${line}\n`).join("")}`;
