#!/usr/bin/env node
import { text } from "node:stream/consumers";
import { runCommandLine } from "./program.js";
import { terminal } from "./terminal.js";

// A reader that closes early (`| head`) is no fault of ours.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code === "EPIPE") process.exit(0);
  throw error;
});

const { ask, close } = terminal(process.stdin, process.stderr);
process.exitCode = await runCommandLine(process.argv.slice(2), {
  out: (part) => {
    process.stdout.write(part);
  },
  note: (part) => {
    process.stderr.write(part);
  },
  readInput: () => text(process.stdin),
  ...(process.stdin.isTTY && process.stderr.isTTY ? { ask } : {}),
  clock: () => new Date(),
  untilStopped: () =>
    new Promise((resolve) => {
      for (const signal of ["SIGINT", "SIGTERM"] as const) process.once(signal, () => resolve());
    }),
  folder: process.cwd(),
});
close();
