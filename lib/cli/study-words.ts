import { BeadbenchError } from "../errors/index.js";
import { asName, isName, NAME_RULE, type Spec, tradeName } from "../study/definition/index.js";
import { type Quantity, readQuantity } from "../units/index.js";
import { decimalCommas } from "./commas.js";

/** A setting or a result of a study as study.json takes it. */
export type DefinitionPart = Readonly<Record<string, unknown>>;

/** A result with what is good of it, or a check. */
export type WantedResult = {
  readonly name: string;
  readonly unit?: string;
  readonly kind?: "passFail";
  readonly spec?: Spec;
};

const NUMBER = String.raw`[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?`;
const range = new RegExp(`^(.+?)\\s+(${NUMBER})\\s*(?:to|\\.\\.|-)\\s*(${NUMBER})\\s*([^\\d\\s.].*)$`, "i");
const bound = new RegExp(`^(.+?)\\s+(from|at least|up to|at most)\\s+(${NUMBER}\\s*\\S.*)$`, "i");
const choice = /^(.+?):\s*([^,]+(?:,[^,]+)+)$/;

/**
 * Reads a setting with what it may be: `current 90 to 180 A`, or names, `gas: argon, argon+2 % hydrogen`.
 *
 * @throws {BeadbenchError} `bad-argument` naming the text and how to write it
 */
export function settingFromWords(text: string): DefinitionPart {
  const named = choice.exec(text.trim());
  if (named !== null) {
    const levels = named[2]!.split(",").map((level) => level.trim());
    return { name: nameFrom(named[1]!), kind: "category", levels };
  }
  const found = range.exec(decimalCommas(text.trim()));
  if (found === null)
    throw bad(
      text,
      "write it with its ends and unit, such as current 90 to 180 A, or with names, such as gas: argon, helium mix",
    );
  return { name: nameFrom(found[1]!), ...ends(text, found) };
}

/**
 * Reads a result with what is wanted of it: `bead width 5.5 to 6.5 mm`, `penetration at least 2 mm`, or a check by its name
 * alone, `sound bead`.
 *
 * @throws {BeadbenchError} `bad-argument` naming the text and how to write it
 */
export function resultFromWords(text: string): WantedResult {
  const words = decimalCommas(text.trim());
  const found = range.exec(words);
  if (found !== null) {
    const { low, high, unit } = ends(text, found);
    return { name: nameFrom(found[1]!), unit, spec: { lower: low, upper: high } };
  }
  const single = bound.exec(words);
  if (single !== null) {
    const { value, unit } = quantity(text, single[3]!);
    const end = /from|least/i.test(single[2]!) ? "lower" : "upper";
    return { name: nameFrom(single[1]!), unit, spec: { [end]: value } };
  }
  if (/\d/.test(text))
    throw bad(
      text,
      "write it with its ends and unit, such as bead width 5.5 to 6.5 mm, or one end, such as penetration at least 2 mm, or a check by its name, such as sound bead",
    );
  return { name: nameFrom(text), kind: "passFail" };
}

function ends(
  text: string,
  found: RegExpExecArray,
): { readonly low: number; readonly high: number; readonly unit: string } {
  const [low, high] = [found[2]!, found[3]!].map((number) => quantity(text, `${number} ${found[4]!}`));
  if (!(low!.value < high!.value)) throw bad(text, "the lower end comes first, and below the upper one");
  return { low: low!.value, high: high!.value, unit: low!.unit };
}

function quantity(text: string, written: string): Quantity {
  const found = readQuantity(written);
  if (typeof found === "string") throw bad(text, found);
  return found;
}

/** Words as a name of the study: `Bead width` is bead_width, `wfs` wire_feed_speed. */
function nameFrom(words: string): string {
  const name = tradeName(asName(words));
  if (!isName(name)) throw bad(words, `a name ${NAME_RULE}`);
  return name;
}

const bad = (text: string, message: string): BeadbenchError =>
  new BeadbenchError("bad-argument", `"${text.trim()}": ${message}`);
