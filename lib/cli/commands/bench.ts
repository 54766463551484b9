import type { Command } from "commander";
import { serveBench } from "../../bench/index.js";
import { requireThat } from "../../errors/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";

interface BenchCommandOptions extends AnswerOptions {
  readonly host: string;
  readonly port: number;
}

/** Where the page is served unless told otherwise. */
const PORT = 7361;
const MOST_PORT = 65_535;

export function define(command: Command, io: CommandIo): void {
  command
    .option(
      "--host <address>",
      "address to serve at; others than this machine alone need a one-time code, shown here",
      "localhost",
    )
    .option("--port <n>", "port to serve at; 0 takes a free one", wholeNumber(0), PORT)
    .addHelpText(
      "after",
      `
The page logs through the same journal as \`log\`, which may be used beside it. What is logged without a
connection is kept in the browser and sent later, once. A phone on the same network opens it at an address of
this machine, such as --host 192.168.1.20: plain http then, so that others on that network can read along, and
the page cannot be loaded anew without a connection.`,
    )
    .action(async (folder: string, options: BenchCommandOptions) => {
      const { host, port } = options;
      requireThat(port <= MOST_PORT, `--port must be at most ${MOST_PORT}, got ${port}`);
      const study = studyAt(io, folder);
      const bench = await serveBench({
        folder: study.folder,
        clock: io.clock,
        host,
        port,
        showCode: (code) => io.note(`Code for the next device: ${code}\n`),
      });
      answer({
        io,
        options,
        result: { study: study.definition.name, url: bench.url },
        text: () => `${study.definition.name}: ${bench.url}\nStop with Ctrl-C; nothing is lost by that.\n`,
      });
      await io.untilStopped();
      await bench.close();
    });
}
