import { InvalidArgumentError, Option } from "commander";
import type { DecimalMark } from "../study/index.js";

/** What a command that reads a CSV file takes beside the file. */
export interface DecimalOptions {
  readonly decimal?: DecimalMark;
}

/** The decimal mark of a CSV file, read alike by every command that reads one. */
export class DecimalOption extends Option {
  constructor() {
    super("--decimal <mark>", "decimal mark of the CSV file, . or , where its numbers do not settle it");
    this.argParser(decimalMark);
  }
}

/** Parses a decimal mark for commander. */
export function decimalMark(text: string): DecimalMark {
  if (text !== "." && text !== ",") throw new InvalidArgumentError("Write . or , as decimal mark.");
  return text;
}
