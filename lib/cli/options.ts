import { InvalidArgumentError } from "commander";
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

/** Gathers words given once, repeatedly, or parted by commas. */
export function wordList(text: string, before: readonly string[] = []): readonly string[] {
  return [...before, ...text.split(",").map((word) => word.trim())].filter((word) => word !== "");
}

/** Parses a quantity with its unit, such as "200 L", into a number of the unit wanted. */
export function quantityIn(unit: string): (text: string) => number {
  return (text) => {
    try {
      return parseIn(text, unit);
    } catch (error) {
      throw new InvalidArgumentError(`${(error as Error).message}.`);
    }
  };
}
