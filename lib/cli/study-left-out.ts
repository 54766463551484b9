import type { Command } from "commander";
import { BeadbenchError } from "../errors/index.js";
import type { CommandIo } from "./io.js";
import { isStudyFolder } from "./study-folder.js";

/** A command that begins with this argument takes the folder one stands in where it is left out. */
const STUDY = "study";

/** A line with its study in it, and that study as it was typed, undefined for a line that names none. */
export interface FullLine {
  readonly words: readonly string[];
  readonly study?: string;
}

/**
 * The words of a line with the folder one stands in put where the study was left out: where the first word names no
 * study, the folder does hold one, and the command has room for the word elsewhere.
 *
 * @param command - the command the line begins with, which no other line is read by; undefined for none
 * @throws {BeadbenchError} `not-found` where no study is named and none is here
 */
export async function withStudy(
  io: CommandIo,
  line: readonly string[],
  command: Command | undefined,
): Promise<FullLine> {
  const plain = { words: line };
  const at = line.findIndex((word) => !word.startsWith("-"));
  const [first, ...others] = command?.registeredArguments ?? [];
  if (command === undefined || first?.name() !== STUDY || first.required) return plain;
  const operands = operandsOf(command, line.slice(at + 1));
  if (operands === undefined) return plain;
  const [word] = operands;
  const here = isStudyFolder(io, ".");
  // Of two studies to name, the one word may be the other one.
  const isShort = here && operands.length <= others.filter(({ required }) => required).length;
  if (word !== undefined && isStudyFolder(io, word) && !isShort) return { words: line, study: word };
  if (here) {
    const room = others.some(({ variadic }) => variadic) ? Number.POSITIVE_INFINITY : others.length;
    return operands.length <= room
      ? { words: [...line.slice(0, at + 1), ".", ...line.slice(at + 1)], study: "." }
      : plain;
  }
  if (word === undefined && command.name() !== "status") {
    throw new BeadbenchError(
      "not-found",
      `name the study, as in \`beadbench ${command.name()} my-study\`, or run this in its folder; \`beadbench new\` starts one, \`beadbench demo\` shows one`,
    );
  }
  return plain;
}

/** The words that are no options, or undefined where help is asked for or an option is wrong: the program says so. */
function operandsOf(command: Command, words: readonly string[]): readonly string[] | undefined {
  try {
    const { operands, unknown } = command
      .exitOverride()
      .configureOutput({ writeErr: () => undefined })
      .parseOptions([...words]);
    return unknown.length > 0 ? undefined : operands;
  } catch {
    return undefined;
  }
}
