import { type Issue, shownValue } from "../../errors/index.js";
import type { Path, ShapeFault } from "./shape.js";

/** `factors[2].low`; the whole is `(top)`. */
function formatPath(path: Path): string {
  const joined = path.map((key) => (typeof key === "number" ? `[${key}]` : `.${key}`)).join("");
  return joined === "" ? "(top)" : joined.replace(/^\./, "");
}

/** A fault as an issue: its path as the column, and the value found or that it is missing. */
export function shapeIssue(fault: ShapeFault): Issue & { readonly column: string } {
  const { path, message, found } = fault;
  const column = formatPath(path);
  if (!("found" in fault)) return { column, message };
  if (found === undefined) return { column, message: `is missing; ${message}` };
  return { column, message, got: shownValue(found) };
}
