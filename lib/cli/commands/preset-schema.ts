import type { Command } from "commander";
import { presetJsonSchema } from "../../presets/index.js";
import { answer } from "../answer.js";
import type { CommandIo } from "../io.js";

/** JSON is all this command prints, with `--json` or without. */
export function define(command: Command, io: CommandIo): void {
  command.action(() => answer({ io, options: { json: true }, result: presetJsonSchema(), text: () => "" }));
}
