import type { Interface } from "node:readline";
import type { CommandIo } from "./io.js";

/** Someone at a terminal. */
export interface Terminal {
  readonly ask: NonNullable<CommandIo["ask"]>;
  /** Lets the program end. */
  close(): void;
}

/** Asks at a terminal; the reader of lines is loaded with the first question and keeps lines that were pasted ahead. */
export function terminal(input: NodeJS.ReadableStream, output: NodeJS.WritableStream): Terminal {
  let reader: Interface | undefined;
  let lines: AsyncIterator<string> | undefined;
  return {
    ask: async (question) => {
      if (lines === undefined) {
        const { createInterface } = await import("node:readline");
        reader = createInterface({ input, output });
        lines = reader[Symbol.asyncIterator]();
      }
      output.write(question);
      const next = await lines.next();
      return next.done === true ? undefined : next.value;
    },
    close: () => reader?.close(),
  };
}
