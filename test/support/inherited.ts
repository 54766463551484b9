import { fileURLToPath } from "node:url";

const lib = fileURLToPath(new URL("../../lib/", import.meta.url));

/** The line of this library that a stack leads to first. */
function lineOf(stack: string): string | undefined {
  return stack
    .split("\n")
    .find((line) => line.includes(lib))
    ?.replace(/^\s*at /, "")
    .replace(lib, "");
}

/**
 * Runs work while every object answers to the words given, as every object answers to `constructor`, and tells where this
 * library looked one up, or wrote one, past what was put into the table.
 *
 * @returns lines of the library, each once
 */
export async function inheritedUses(words: readonly string[], work: () => Promise<void>): Promise<string[]> {
  const found = new Set<string>();
  const note = (how: string, word: string): void => {
    const { stackTraceLimit } = Error;
    Error.stackTraceLimit = 40;
    const line = lineOf(new Error().stack ?? "");
    Error.stackTraceLimit = stackTraceLimit;
    if (line !== undefined) found.add(`${how} ${word}: ${line}`);
  };
  for (const word of words) {
    Object.defineProperty(Object.prototype, word, {
      configurable: true,
      get: () => note("reads", word),
      set(value: unknown) {
        Object.defineProperty(this, word, { value, writable: true, enumerable: true, configurable: true });
      },
    });
  }
  try {
    await work();
  } finally {
    for (const word of words) delete (Object.prototype as Record<string, unknown>)[word];
  }
  return [...found];
}
