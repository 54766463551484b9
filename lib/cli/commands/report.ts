import type { Command } from "commander";
import { composeStudyReport, renderReport } from "../../report/index.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import { type OutcomeOptions, withOutcomeOptions } from "../outcome.js";
import { studyResults } from "../results.js";

export function registerReport(root: Command, io: CommandIo): void {
  withOutcomeOptions(root.command("report <study>"))
    .description("write one self-contained HTML page of the study: preset, window, models, checks, record")
    .requiredOption("--html <file>", "file to write (- for standard output)")
    .option("--level <share>", "chance of conformance the ranges keep", share, 0.8)
    .action(async (folder: string, options: OutcomeOptions & { html: string; level: number }) => {
      const results = studyResults(io, studyAt(io, folder), options);
      writeText(io, options.html, await renderReport(composeStudyReport(results)));
    });
}
