import type { Command } from "commander";
import { machineJsonSchema, presetJsonSchema } from "../../presets/index.js";
import { answer } from "../answer.js";
import type { CommandIo } from "../io.js";

/** JSON is all this command prints, with `--json` or without. */
export function define(command: Command, io: CommandIo): void {
  command
    .option("--machine", "that of a machine map instead")
    .action(({ machine }: { readonly machine?: boolean }) =>
      answer({
        io,
        options: { json: true },
        result: machine === true ? machineJsonSchema() : presetJsonSchema(),
        text: () => "",
      }),
    );
}
