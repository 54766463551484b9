import { resolve } from "node:path";
import type { Command } from "commander";
import { counted } from "../../numeric/figures/index.js";
import { type Recovery, recoverStudy } from "../../study/record/index.js";
import { answer } from "../answer.js";
import type { CommandIo } from "../io.js";

export function define(command: Command, io: CommandIo): void {
  command
    .addHelpText(
      "after",
      `
The damaged study stays as it is, byte for byte. Entries keep their times; from the first damage on they are numbered and chained
anew. Exit code 0 also where something was lost: it is listed, and noted in the new journal.`,
    )
    .action((folder: string, into: string, options: { json?: boolean }) => {
      const at = (name: string): string => resolve(io.folder, name);
      const recovery = recoverStudy(at(folder), at(into), { clock: io.clock });
      const { kept, lost } = recovery;
      answer({ io, options, result: { study: into, kept, lost }, text: () => recoveryText(recovery, into) });
    });
}

function recoveryText({ kept, lost, study }: Recovery, into: string): string {
  const coupons = counted(study.coupons.length, "coupon");
  const lines = [`${into}: ${counted(kept, "entry", "entries")} carried over, ${coupons}`];
  if (lost.length === 0) lines.push("Nothing was lost.");
  else lines.push("Not carried over:", ...lost.map(({ message }) => `  ${message}`));
  lines.push(`Look it over with \`beadbench check ${into}\`, and log again what is missing.`);
  return `${lines.join("\n")}\n`;
}
