import type { Command } from "commander";
import { composeStudyReport, renderReport } from "../../report/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import { type OutcomeOptions, withOutcomeOptions } from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { resultsData, studyResults } from "../results.js";

interface ReportOptions extends OutcomeOptions, AnswerOptions {
  readonly html: string;
  readonly level: number;
}

export function define(command: Command, io: CommandIo): void {
  withOutcomeOptions(command)
    .addOption(new OutputOption("--html <file>", "file to write").makeOptionMandatory())
    .option("--level <share>", "chance of conformance the ranges keep", share, 0.8)
    .action(async (folder: string, options: ReportOptions) => {
      const results = studyResults(io, studyAt(io, folder), options);
      writeText(io, options.html, await renderReport(composeStudyReport(results)));
      answer({ io, options, result: { wrote: [options.html], ...resultsData(results) }, text: () => "" });
    });
}
