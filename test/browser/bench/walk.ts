import type { Study } from "../../../lib/study/index.js";
import type { Page } from "../page.js";
import type { Served } from "./served.js";

/** What a walk through the page has at hand. */
export interface Walk {
  readonly page: Page;
  readonly study: Study;
  /** The program that serves it; a walk may start it anew. */
  served: Served;
}
