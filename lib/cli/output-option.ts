import { Option } from "commander";

/** An option that names a file to write, `-` for standard output, which the program lets one output go to. */
export class OutputOption extends Option {
  constructor(flags: string, what: string) {
    super(flags, `${what} (- for standard output)`);
  }
}
