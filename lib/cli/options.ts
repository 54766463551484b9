import { InvalidArgumentError } from "commander";
import { BeadbenchError } from "../errors/index.js";
import { rounds } from "../numeric/figures/index.js";
import { parseIn } from "../units/index.js";

/** Parses a whole number of at least `lower` for commander. */
export function wholeNumber(lower: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (!Number.isInteger(value) || value < lower) {
      throw new InvalidArgumentError(`Write a whole number of at least ${lower}.`);
    }
    return value;
  };
}

/** Parses a share: 0.9 or 90%. */
export function share(text: string): number {
  const value = text.trim().endsWith("%") ? Number(text.trim().slice(0, -1)) / 100 : Number(text);
  if (!(value > 0 && value < 1))
    throw new InvalidArgumentError("Write a share between 0 and 1, such as 0.9.");
  return value;
}

/** Gathers the texts of an option given once or repeatedly. */
export function gather(text: string, before: readonly string[] = []): readonly string[] {
  return [...before, text];
}

/** Gathers words given once, repeatedly, or parted by commas. */
export function wordList(text: string, before: readonly string[] = []): readonly string[] {
  return [...before, ...text.split(",").map((word) => word.trim())].filter((word) => word !== "");
}

/**
 * Reads a quantity with its unit in the unit wanted, to 14 digits as a study does: -0.3 in is -7.62 mm, also in the
 * message of whoever refuses it.
 *
 * @throws {BeadbenchError} `bad-unit` as `parseQuantity` does
 */
export function typedIn(text: string, unit: string): number {
  return rounds(parseIn(text, unit), 14);
}

/** Parses a quantity with its unit, such as "200 L", into a number of the unit wanted, for commander. */
export function quantityIn(unit: string): (text: string) => number {
  return (text) => {
    try {
      return typedIn(text, unit);
    } catch (error) {
      throw new InvalidArgumentError(`${(error as Error).message}.`);
    }
  };
}

/**
 * A word such as `dwell="40 s"`, parted at its first equals sign.
 *
 * @param how - how to write it, for the error: "write it as name=value"
 * @throws {BeadbenchError} `bad-argument` without a name before the sign
 */
export function namedText(
  item: string,
  how = "write it as name=value",
): readonly [name: string, text: string] {
  const at = item.indexOf("=");
  if (at < 1) throw new BeadbenchError("bad-argument", `"${item}": ${how}`);
  return [item.slice(0, at).trim(), item.slice(at + 1).trim()];
}
