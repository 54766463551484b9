import { askedKinds } from "./asked-kinds.js";
import { fileKinds } from "./file-kinds.js";
import { type Make, studyKinds } from "./study-kinds.js";

export type { Make };

/** Every kind of input by its name. */
export const kinds: ReadonlyMap<string, Make> = new Map(
  Object.entries({ ...studyKinds, ...fileKinds, ...askedKinds }),
);
