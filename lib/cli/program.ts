import { Command, CommanderError } from "commander";
import { asTyped, BeadbenchError, onlyDefined, ownValue } from "../errors/index.js";
import { type CommandEntry, commands } from "./commands.js";
import { type CommandIo, ExitStatus } from "./io.js";
import { OutputOption } from "./output-option.js";
import { printable } from "./printable.js";
import { withStudy } from "./study-left-out.js";
import { systemFault } from "./system-fault.js";
import { requireWritable } from "./writable.js";

const cautions = `
Cautions: arc and laser light, fume, inert gas, electric shock and high frequency, hot metal and water, fire.
Numbers printed here are estimates from your own coupons, never a permit: local codes, the makers'
manuals and licensed practice come first, and no arc runs unattended on the word of a program.
`;

/** Exit codes of every command. */
export const exitCodes = { success: 0, userError: 1, internalError: 2 } as const;

/** The command line as a commander program, with the files of those commands only that `named` holds. */
async function program(io: CommandIo, named: readonly string[]): Promise<Command> {
  const root = new Command("beadbench")
    .description("Find wire-arc deposition settings from few coupons, and know how sure you are")
    .version("0.1.0")
    .exitOverride()
    .configureOutput({ writeOut: io.out, writeErr: io.note })
    .showHelpAfterError("(see --help)")
    .addHelpText("after", cautions)
    .hook("preAction", (_, command) => {
      requireOneOutput(command);
      for (const { path } of outputsOf(command)) requireWritable(io.folder, path);
    });
  for (const entry of commands) await addCommand(root, entry, { io, named });
  return root;
}

/** Adds one command to a program, with its options and work where it is named. */
async function addCommand(
  root: Command,
  { usage, description, load }: CommandEntry,
  { io, named }: { readonly io: CommandIo; readonly named: readonly string[] },
): Promise<Command> {
  const command = root.command(usage).description(description);
  if (named.includes(command.name())) (await load()).define(command, io);
  if (!command.options.some(({ long }) => long === "--json"))
    command.option("--json", "print the result as JSON");
  return command;
}

/** The command a line begins with, in a program of its own to read the line by; undefined for a word that is none. */
async function trialCommand(io: CommandIo, word: string | undefined): Promise<Command | undefined> {
  const entry = commands.find(({ usage }) => usage.split(" ", 1)[0] === word);
  return entry === undefined || word === undefined
    ? undefined
    : addCommand(new Command(), entry, { io, named: [word] });
}

/** Commands whose words may be the names of others. */
const aboutOthers: readonly string[] = ["help", "completion"];

/** The files a line names to be written. */
function outputsOf(command: Command): readonly { readonly option: string; readonly path: string }[] {
  const options = command.opts<Readonly<Record<string, unknown>>>();
  return command.options.flatMap((option) => {
    const path = option instanceof OutputOption ? ownValue(options, option.attributeName()) : undefined;
    return typeof path === "string" ? [{ option: option.long!, path }] : [];
  });
}

/** Standard output carries one thing: with --json JSON and nothing else. */
function requireOneOutput(command: Command): void {
  const { json } = command.opts<Readonly<Record<string, unknown>>>();
  const piped = [
    ...(json === true || json === "-" ? ["--json"] : []),
    ...outputsOf(command).flatMap(({ option, path }) => (path === "-" ? [option] : [])),
  ];
  const [first, second] = piped;
  if (second === undefined) return;
  throw new BeadbenchError(
    "bad-argument",
    `${first} and ${second} cannot both go to standard output: name a file for ${second}`,
  );
}

/**
 * Runs one command.
 *
 * @param args - what follows the program's name
 * @returns the exit code: 0 done, 1 the user's input or a failed check, 2 a fault of the program
 */
export async function runCommandLine(args: readonly string[], io: CommandIo): Promise<number> {
  let study: string | undefined;
  const note = (text: string): void => io.note(printable(asTyped(text, study)));
  try {
    const line = args.length === 0 ? ["status"] : args;
    const words = line.filter((arg) => !arg.startsWith("-"));
    const [first] = words;
    const named = first !== undefined && aboutOthers.includes(first) ? words : words.slice(0, 1);
    const full = await withStudy(io, line, await trialCommand(io, first));
    study = full.study;
    const own = { ...io, note, ...onlyDefined({ study }) };
    await (await program(own, named)).parseAsync(full.words, { from: "user" });
    return exitCodes.success;
  } catch (error) {
    if (error instanceof ExitStatus) return error.status;
    if (error instanceof CommanderError)
      return error.exitCode === 0 ? exitCodes.success : exitCodes.userError;
    if (error instanceof BeadbenchError) {
      note(`beadbench: ${error.message}\n`);
      return exitCodes.userError;
    }
    const fault = systemFault(error);
    if (fault !== undefined) {
      note(`beadbench: ${fault}\n`);
      return exitCodes.userError;
    }
    const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
    note(`beadbench: internal error, please report it with the command you ran\n${stack}\n`);
    return exitCodes.internalError;
  }
}
