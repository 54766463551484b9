#!/usr/bin/env node
import { text } from "node:stream/consumers";
import { paintMarks, wantsColour } from "./colour.js";
import { runCommandLine } from "./program.js";
import { startProgress } from "./progress.js";
import { terminal } from "./terminal.js";

// A reader that closes early (`| head`) is no fault of ours.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code === "EPIPE") process.exit(0);
  throw error;
});

const { stdin, stdout, stderr, env } = process;
const args = process.argv.slice(2);
const { ask, close } = terminal(stdin, stderr);
const progress = stderr.isTTY && env.TERM !== "dumb" ? await startProgress(stderr.fd, "working") : undefined;
/** Nothing is said of work while something outside is waited for. */
const waiting = async <T>(wait: () => Promise<T>): Promise<T> => {
  progress?.pause();
  const found = await wait();
  progress?.resume();
  return found;
};
const colour = (stream: NodeJS.WriteStream): boolean => wantsColour({ terminal: stream.isTTY === true, env });
const colourNotes = colour(stderr);
process.exitCode = await runCommandLine(args, {
  out: (part) => {
    progress?.touch();
    stdout.write(part);
  },
  note: (part) => {
    progress?.touch();
    stderr.write(colourNotes ? paintMarks(part) : part);
  },
  colour: colour(stdout),
  ...(progress === undefined ? {} : { doing: progress.doing }),
  readInput: () => waiting(() => text(stdin)),
  ...(stdin.isTTY && stderr.isTTY ? { ask: (question: string) => waiting(() => ask(question)) } : {}),
  clock: () => new Date(),
  untilStopped: () =>
    waiting(
      () =>
        new Promise<void>((resolve) => {
          for (const signal of ["SIGINT", "SIGTERM"] as const) process.once(signal, () => resolve());
        }),
    ),
  folder: process.cwd(),
});
progress?.stop();
close();
