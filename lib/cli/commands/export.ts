import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { exportCsv } from "../../study/index.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";

const formats = ["csv", "json"] as const;

export function registerExport(root: Command, io: CommandIo): void {
  root
    .command("export <study>")
    .description("write the coupons as CSV, or the whole study as JSON")
    .option("--format <format>", `one of ${formats.join(", ")}`, "csv")
    .option("--to <file>", "file to write (default: standard output)", "-")
    .option("--separator <mark>", "CSV separator, , or ;", ",")
    .option("--decimal <mark>", "CSV decimal mark, . or ,", ".")
    .action((folder: string, options: { format: string; to: string; separator: string; decimal: string }) => {
      const study = studyAt(io, folder);
      const { format, separator, decimal } = options;
      if (format === "json") {
        const { definition, coupons, incidents, changes, notes } = study;
        writeText(
          io,
          options.to,
          `${JSON.stringify({ definition, coupons, incidents, changes, notes }, null, 2)}\n`,
        );
        return;
      }
      if (format !== "csv") throw bad(`--format must be one of ${formats.join(", ")}`, format);
      if (separator !== "," && separator !== ";") throw bad("--separator must be , or ;", separator);
      if (decimal !== "." && decimal !== ",") throw bad("--decimal must be . or ,", decimal);
      writeText(io, options.to, exportCsv(study, { separator, decimal }));
    });
}

function bad(rule: string, got: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `${rule}, got "${got}"`);
}
