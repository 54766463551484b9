import { resolve } from "node:path";
import type { Command } from "commander";
import { counted } from "../../numeric/figures/index.js";
import { mergeStudy, type StudyMerge } from "../../study/share/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import type { CommandIo } from "../io.js";
import { findingsBelow } from "../text.js";

interface MergeCommandOptions extends AnswerOptions {
  readonly dry?: boolean;
  readonly keepDefinition?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--dry", "only say what would come and what differs; write nothing")
    .option("--keep-definition", "go by the study's own study.json where the other one differs")
    .addHelpText(
      "after",
      `
The other copy is only read; merge the other way round there, and both hold the same coupons. Merging twice changes
nothing. Of two coupons of one number the one begun earlier keeps it, the other gets six digits of its hash added. Entries
are numbered anew, in the order in which they were written on both copies: look entry numbers up again before you use them.`,
    )
    .action((folder: string, other: string, options: MergeCommandOptions) => {
      const { dry, keepDefinition } = options;
      const merge = mergeStudy(resolve(io.folder, folder), resolve(io.folder, other), {
        clock: io.clock,
        ...(dry === true ? { dry } : {}),
        ...(keepDefinition === true ? { keepDefinition } : {}),
      });
      const { study: _, ...summary } = merge;
      answer({ io, options, result: summary, text: () => mergeText(merge, { other, dry: dry === true }) });
    });
}

function mergeText(
  { brought, coupons, renamed, attachments, findings, definition }: StudyMerge,
  { other, dry }: { readonly other: string; readonly dry: boolean },
): string {
  const would = dry ? "would come" : "came";
  const lines = [
    brought === 0
      ? `Nothing new in ${other}: all of its entries are here already.`
      : `${counted(brought, "entry", "entries")} ${would} from ${other}.`,
    ...(coupons.length === 0 ? [] : [`New coupons: ${coupons.join(", ")}`]),
    ...renamed.map(
      ({ what, was, now, entry }) =>
        `Two ${what}s are called ${was}: the one begun earlier keeps the name, the one of entry ${entry} is ${now}; mark what lies on the bench accordingly`,
    ),
    ...(attachments.length === 0 ? [] : [`Files: ${attachments.map(fileText).join(", ")}`]),
    ...(definition.length === 0 ? [] : ["study.json differs:", ...definition.map((line) => `  ${line}`)]),
    ...(dry ? ["Nothing was written."] : []),
  ];
  return `${lines.join("\n")}\n${findingsBelow(findings)}`;
}

const fileText = ({ file, was }: StudyMerge["attachments"][number]): string =>
  was === undefined ? file : `${file} (${was} there)`;
