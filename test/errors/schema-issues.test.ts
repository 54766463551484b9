import { expect, test } from "vitest";
import { z } from "zod";
import { formatIssue, schemaIssues } from "../../lib/errors/index.js";

const shape = z.strictObject({
  schema: z.literal("x/1"),
  made: z.iso.datetime(),
  name: z.string().min(1),
  rows: z.array(z.number().positive()).min(1),
  mark: z.enum([".", ","]),
  value: z.union([z.number(), z.string()]),
  words: z.string().regex(/^M\d$/, { message: 'must be an M word such as "M3"' }),
});
const good = {
  schema: "x/1",
  made: "2026-04-01T08:00:00Z",
  name: "a",
  rows: [1],
  mark: ".",
  value: 1,
  words: "M3",
};

test.each([
  ['{"rows": 1}', 'f.json:2, "rows": must be a list [ ... ], got "1"'],
  ['{"rows": []}', 'f.json:2, "rows": needs at least 1 entries, got "[]"'],
  ['{"rows": [1, "2"]}', 'f.json:2, "rows.1": must be a number, got "2"'],
  ['{"rows": [0]}', 'f.json:2, "rows.0": must be above 0, got "0"'],
  ['{"rows": [1e400]}', 'f.json:2, "rows.0": must be a number, got "Infinity"'],
  ['{"schema": "y"}', 'f.json:2, "schema": must be "x/1", got "y"'],
  [
    '{"made": "today"}',
    'f.json:2, "made": must be a date and time such as 2026-04-01T08:00:00Z, got "today"',
  ],
  ['{"mark": ";"}', 'f.json:2, "mark": must be one of ".", ",", got ";"'],
  ['{"name": ""}', 'f.json:2, "name": must not be empty, got ""'],
  ['{"name": {"a": 1}}', 'f.json:2, "name": must be a text, got "{\\"a\\":1}"'],
  ['{"value": true}', 'f.json:2, "value": must be a number, or must be a text, got "true"'],
  ['{"words": "G0"}', 'f.json:2, "words": must be an M word such as "M3", got "G0"'],
])("%s is told by its line, path, rule and value", (changed, told) => {
  const raw = { ...good, ...JSON.parse(changed) };
  const text = `{\n${changed.slice(1)}`;
  const { error } = shape.safeParse(raw);
  expect(schemaIssues({ file: "f.json", text, raw }, error!.issues).map(formatIssue)).toEqual([told]);
});

test("a field that is missing, and one that nobody knows, are told as such", () => {
  const { name: _, ...raw } = { ...good, constructor: 1 };
  const { error } = shape.safeParse(raw);
  const told = schemaIssues({ file: "f.json", text: JSON.stringify(raw), raw }, error!.issues).map(
    formatIssue,
  );
  expect(told[0]).toBe('f.json:1, "name": is missing; must be a text');
  expect(told[1]).toMatch(
    /^f\.json:1, "\(top\)": takes no field "constructor"; mend its name or take it out, got /,
  );
});

test("of a long value only the head is shown", () => {
  const raw = { ...good, rows: "x".repeat(10_000) };
  const [issue] = schemaIssues({ file: "f", text: "{}", raw }, shape.safeParse(raw).error!.issues);
  expect(issue!.got!.length).toBeLessThan(200);
});
