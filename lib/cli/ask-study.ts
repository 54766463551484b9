import { BeadbenchError } from "../errors/index.js";
import { settingDigits } from "../numeric/index.js";
import { processExamples, processOf, usualRange } from "../process/index.js";
import { parseQuantity } from "../units/index.js";
import { decimalCommas } from "./commas.js";
import type { CommandIo } from "./io.js";
import { type DefinitionPart, resultFromWords, settingFromWords } from "./study-words.js";

/** What a study is started from, asked for or given as options. */
export interface StudyAnswers {
  readonly process: string;
  readonly wire: string;
  readonly diameter?: string;
  readonly set: readonly DefinitionPart[];
  readonly want: readonly DefinitionPart[];
}

/** Questions put and answers taken, one line each. */
type Ask = NonNullable<CommandIo["ask"]>;

/**
 * Asks for what a study needs, one question after the other; an answer that cannot be read is said to be so and asked for
 * again. What was given as an option is not asked.
 */
export async function askStudy(io: CommandIo, ask: Ask, given: Partial<StudyAnswers>): Promise<StudyAnswers> {
  const one = <T>(question: string, read: (text: string) => T): Promise<T> =>
    untilRead({ io, ask, question, read });
  const process =
    given.process ??
    (await one(`Process (${processExamples()}): `, (text) => {
      processOf(text);
      return text.trim();
    }));
  const wire = given.wire ?? (await one("Wire, as on the spool, or none: ", nonEmpty));
  const isFed = wire.toLowerCase() !== "none";
  const diameter =
    given.diameter ??
    (isFed
      ? await one("Its diameter (1.2 mm, 0.045 in): ", (text) => {
          const plain = decimalCommas(text);
          parseQuantity(plain, "mm");
          return plain;
        })
      : undefined);
  io.note(`Settings you change, one a line, an empty line ends: ${usualSettings(process)}\n`);
  const set = (given.set?.length ?? 0) > 0 ? given.set! : await many(io, ask, settingFromWords);
  io.note(
    "Results you want, one a line, an empty line ends: bead width 5.5 to 6.5 mm, or a check such as sound bead\n",
  );
  const want = (given.want?.length ?? 0) > 0 ? given.want! : await many(io, ask, resultFromWords);
  return { process, wire, ...(diameter === undefined ? {} : { diameter }), set, want };
}

/** The usual settings of a process with their usual ranges, as a line to copy from. */
function usualSettings(process: string): string {
  const names = ["current", "travel_speed", "wire_feed_speed", "standoff"] as const;
  return names
    .flatMap((name) => {
      const usual = usualRange(name, processOf(process));
      return usual === undefined
        ? []
        : [`${name} ${settingDigits(usual.lower)} to ${settingDigits(usual.upper)} ${usual.unit}`];
    })
    .join("; ");
}

async function many(
  io: CommandIo,
  ask: Ask,
  read: (text: string) => DefinitionPart,
): Promise<readonly DefinitionPart[]> {
  const found: DefinitionPart[] = [];
  for (;;) {
    const next = await untilRead({
      io,
      ask,
      question: `  ${found.length + 1}. `,
      read: (text) => (text.trim() === "" ? undefined : read(text)),
    });
    if (next !== undefined) found.push(next);
    else if (found.length > 0) return found;
    else io.note("At least one is needed.\n");
  }
}

/** Tries a line may take before the answers are given up: a script that feeds nonsense must end. */
const TRIES = 20;

async function untilRead<T>({
  io,
  ask,
  question,
  read,
}: {
  readonly io: CommandIo;
  readonly ask: Ask;
  readonly question: string;
  readonly read: (text: string) => T;
}): Promise<T> {
  for (let tries = 0; tries < TRIES; tries++) {
    const text = await ask(question);
    if (text === undefined) break;
    try {
      return read(text);
    } catch (error) {
      if (!(error instanceof BeadbenchError)) throw error;
      io.note(`${error.message}\n`);
    }
  }
  throw new BeadbenchError(
    "bad-argument",
    "the answers ended before the study was complete; nothing was written",
  );
}

function nonEmpty(text: string): string {
  if (text.trim() === "") throw new BeadbenchError("bad-argument", "write a word, or none");
  return text.trim();
}
