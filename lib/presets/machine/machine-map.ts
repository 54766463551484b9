import { z } from "zod";
import { errorFromIssues, parseJson, schemaIssues } from "../../errors/index.js";
import { isUnit, readQuantity } from "../../units/index.js";

/** The value of `schema` in a machine map. */
export const MACHINE_SCHEMA = "beadbench/machine/1";

/** Words that belong to the program's course, not to an output. M6 changes tools, M47 to M53 move the reading of others. */
const COURSE_M = [0, 1, 2, 6, 30, 47, 48, 49, 50, 51, 52, 53, 60, 98, 99];

/** G words of NISTIR 6556, Table 5: each moves the machine or changes how numbers are read. */
const NIST_G = [
  0, 1, 2, 3, 4, 10, 17, 18, 19, 20, 21, 28, 30, 38.2, 40, 41, 42, 43, 49, 53, 54, 55, 56, 57, 58, 59, 59.1,
  59.2, 59.3, 61, 61.1, 64, 73, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89, 90, 91, 92, 92.1, 92.2, 92.3, 93, 94,
  95, 98, 99,
];

const FIRST = /^[GM]\d{1,4}(\.\d)?$/;
const FURTHER = /^[DEHLPQRST]-?\d+(\.\d+)?$/;

/** What is wrong with the words of an output; undefined where nothing is. */
function wordsFault(text: string): string | undefined {
  const [first = "", ...further] = text.split(" ");
  if (!FIRST.test(first) || !further.every((word) => FURTHER.test(word)))
    return 'must be one M or G word in capitals with its P, S and like words, parted by one blank, such as "M3", "M64 P0"';
  const number = Number(first.slice(1));
  if (first.startsWith("M") && COURSE_M.includes(number))
    return `${first} stops, ends or reroutes a program; name the word that switches this output`;
  if (first.startsWith("G") && NIST_G.includes(number))
    return `${first} moves the machine or changes how numbers are read; name the word that switches this output`;
  const letters = further.map((word) => word[0]);
  return new Set(letters).size < letters.length ? "holds a letter twice" : undefined;
}

const words = z.string().superRefine((text, context) => {
  const fault = wordsFault(text);
  if (fault !== undefined) context.addIssue({ code: "custom", message: fault, input: text });
});

/** Words of a number that is set, the letter of the number last. */
const openWords = z.string().superRefine((text, context) => {
  const parts = text.split(" ");
  const letter = parts.pop() ?? "";
  const fault = !/^[EPQRS]$/.test(letter)
    ? 'must end in the letter that takes the number, such as "S" or "M67 E0 Q"'
    : parts.length > 0
      ? wordsFault(parts.join(" "))
      : undefined;
  if (fault !== undefined) context.addIssue({ code: "custom", message: fault, input: text });
});

const unit = z
  .string()
  .refine(isUnit, { message: 'is no unit known here; write one such as "A" or "m/min"' });
const inUnit = (like: string) =>
  z.string().refine((text) => typeof readQuantity(text, { like }) !== "string", {
    message: `must be a quantity such as "20 ${like}"`,
  });
const output = { on: words, off: words };
const axis = z
  .strictObject({ min: z.number(), max: z.number() })
  .refine(({ min, max }) => min < max, { message: "min must be below max" });

const machineShape = z.strictObject({
  schema: z.literal(MACHINE_SCHEMA),
  name: z.string().min(1),
  /** Travel of each axis in the machine's own coordinates, mm. */
  axes: z.strictObject({ x: axis, y: axis, z: axis }),
  /** Where the front left corner of the plate lies in these, with the tip on the plate, mm. */
  plate: z.strictObject({ x: z.number(), y: z.number(), z: z.number() }),
  /** Fastest motion under program. */
  fastest: inUnit("mm/min"),
  outputs: z.strictObject({
    arc: z.strictObject(output),
    gas: z.strictObject(output).optional(),
    feed: z.strictObject(output).optional(),
    /** Wire pulled back while it is on, at a speed. */
    retract: z.strictObject({ ...output, speed: inUnit("mm/s") }).optional(),
    fan: z.strictObject(output).optional(),
    /** On before all else, off after all else. */
    relays: z.array(z.strictObject({ name: z.string().min(1), ...output })).optional(),
  }),
  /** Settings the program can set: number written = scale x setting in `unit` + offset, within low and high of the setting. */
  values: z
    .record(
      z.string(),
      z
        .strictObject({
          words: openWords,
          unit,
          scale: z
            .number()
            .refine((scale) => scale !== 0, { message: "must not be 0" })
            .default(1),
          offset: z.number().default(0),
          low: z.number(),
          high: z.number(),
        })
        .refine(({ low, high }) => low < high, { message: "low must be below high" }),
    )
    .default({}),
});

/** Words that switch an output on and off. */
export interface SwitchedOutput {
  readonly on: string;
  readonly off: string;
}

/** What a machine's M and G words switch, how far its axes go, and which settings its program can set. Owned by its user. */
export interface MachineMap {
  readonly schema: typeof MACHINE_SCHEMA;
  readonly name: string;
  /** Travel of each axis in the machine's own coordinates, mm. */
  readonly axes: Readonly<Record<"x" | "y" | "z", { readonly min: number; readonly max: number }>>;
  /** Where the front left corner of the plate lies in these, with the tip on the plate, mm. */
  readonly plate: { readonly x: number; readonly y: number; readonly z: number };
  /** Fastest motion under program, with its unit. */
  readonly fastest: string;
  readonly outputs: {
    readonly arc: SwitchedOutput;
    readonly gas?: SwitchedOutput | undefined;
    readonly feed?: SwitchedOutput | undefined;
    /** Wire pulled back while it is on, at a speed. */
    readonly retract?: (SwitchedOutput & { readonly speed: string }) | undefined;
    readonly fan?: SwitchedOutput | undefined;
    /** On before all else, off after all else. */
    readonly relays?: readonly (SwitchedOutput & { readonly name: string })[] | undefined;
  };
  /** Settings the program can set: number written = scale x setting in `unit` + offset, within low and high of the setting. */
  readonly values: Readonly<
    Record<
      string,
      {
        readonly words: string;
        readonly unit: string;
        readonly scale: number;
        readonly offset: number;
        readonly low: number;
        readonly high: number;
      }
    >
  >;
}

/** JSON Schema (draft 2020-12) of a machine map; the package holds it as `schemas/machine-1.json`. */
export function machineJsonSchema(): object {
  return z.toJSONSchema(machineShape, { io: "input" });
}

/**
 * Reads a machine map.
 *
 * @throws {BeadbenchError} `bad-file` naming file, line, key, value and rule of every fault
 */
export function parseMachineMap(text: string, file = "machine.json"): MachineMap {
  const raw = parseJson(text, file);
  const found = machineShape.safeParse(raw);
  if (found.success) return found.data;
  throw errorFromIssues(
    "bad-file",
    `${file} is no machine map; see the example in the README:`,
    schemaIssues({ file, text, raw }, found.error.issues),
  );
}
