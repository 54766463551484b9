import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { runCommandLine } from "../../lib/cli/program.js";

/** What a command printed and how it ended. */
export interface Ran {
  readonly status: number;
  readonly out: string;
  readonly notes: string;
}

/** A place to run commands in: a fresh folder unless one is given, and a clock that stands still. */
export function commandLine(folder = mkdtempSync(join(tmpdir(), "beadbench-cli-"))): {
  readonly folder: string;
  run(...args: readonly string[]): Promise<Ran>;
  pipe(input: string, ...args: readonly string[]): Promise<Ran>;
} {
  const pipe = async (input: string, ...args: readonly string[]): Promise<Ran> => {
    let out = "";
    let notes = "";
    const status = await runCommandLine(args, {
      out: (text) => {
        out += text;
      },
      note: (text) => {
        notes += text;
      },
      readInput: async () => input,
      clock: () => new Date("2026-04-01T08:00:00Z"),
      untilStopped: async () => {},
      folder,
    });
    return { status, out, notes };
  };
  return { folder, pipe, run: (...args) => pipe("", ...args) };
}
