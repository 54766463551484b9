import type { Command } from "commander";
import { checkStudy, type StudyCheck } from "../../models/plausibility/index.js";
import { resolvePriors } from "../../models/priors/index.js";
import { percent, significant } from "../../numeric/figures/index.js";
import { counted } from "../../numeric/index.js";
import { journalCopies, verifyAttachments } from "../../study/record/index.js";
import { tracedOtherwise } from "../../traces/coupons/index.js";
import { answer } from "../answer.js";
import { studyAt } from "../files.js";
import { type CommandIo, ExitStatus } from "../io.js";
import { suspectsBeside } from "../suspects.js";
import { findingsText, textTable } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .addHelpText("after", "\nExit code 1 when something must be mended before the numbers can be trusted.")
    .action(async (folder: string, options: { json?: boolean }) => {
      const study = studyAt(io, folder);
      resolvePriors(study);
      const integrity = [...study.integrity, ...journalCopies(study), ...verifyAttachments(study)];
      const own = checkStudy({ ...study, integrity });
      const beside = [...tracedOtherwise(study), ...(await suspectsBeside(study, own))];
      const check = { ...own, findings: [...own.findings, ...beside] };
      answer({ io, options, result: check, text: () => checkText(check) });
      if (check.refused) throw new ExitStatus(1);
    });
}

function checkText(check: StudyCheck): string {
  const { counts, pureErrors, missing, confounding, findings } = check;
  const parts = [
    `${counted(counts.logged, "coupon")} logged, ${counts.planned} planned, ${counts.voided} voided\n`,
    Object.keys(missing).length === 0
      ? ""
      : `not measured: ${Object.entries(missing)
          .map(([response, count]) => `${response} on ${count}`)
          .join(", ")}\n`,
  ];
  if (pureErrors.length > 0) {
    parts.push(
      `\nScatter of repeats (pure error${pureErrors.some(({ shifts }) => shifts !== undefined) ? ", shifts of blocks taken out" : ""})\n`,
      textTable(
        [
          { title: "response" },
          { title: "settings", align: "right" },
          { title: "coupons", align: "right" },
          { title: "sd", align: "right" },
          { title: "relative", align: "right" },
        ],
        pureErrors.map((e) => [
          e.response,
          String(e.settings),
          String(e.coupons),
          significant(e.sd),
          percent(e.cv, 1),
        ]),
      ),
    );
  }
  if (confounding.inflation.length > 0) {
    parts.push(
      "\nHow far settings moved together (variance inflation: 1 is independent, above 5 hard to tell apart)\n",
      textTable(
        [{ title: "setting" }, { title: "inflation", align: "right" }],
        confounding.inflation.map(({ factor, inflation }) => [factor, significant(inflation)]),
      ),
    );
  }
  parts.push("\n", findings.length === 0 ? "Nothing suspicious found.\n" : findingsText(findings));
  if (check.refused) parts.push("\nThe check FAILED: mend what is marked [!!] before you fit.\n");
  return parts.join("");
}
