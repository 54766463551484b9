import { expect, test } from "vitest";
import { samples } from "./samples.js";

// Past outputs, not truths: these snapshots only show that a chart changed. Data rows are cut to the first
// and their number; the theme is left out.

function shortened(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(shortened);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([key, part]) => {
      if (key === "config") return [key, "theme"];
      if (key === "values" && Array.isArray(part)) return [key, { first: part[0], rows: part.length }];
      return [key, shortened(part)];
    }),
  );
}

test.each(Object.keys(samples))("%s is unchanged", (name) => {
  expect(JSON.stringify(shortened(samples[name]!()), null, 1)).toMatchSnapshot();
});
