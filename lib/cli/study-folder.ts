import { existsSync } from "node:fs";
import { join, resolve } from "node:path";
import type { CommandIo } from "./io.js";

/** Whether a folder holds a study; loads nothing of the record, for the program asks it of every line. */
export const isStudyFolder = (io: CommandIo, folder: string): boolean =>
  existsSync(join(resolve(io.folder, folder), "study.json"));
