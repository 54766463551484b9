import { describe, expect, test } from "vitest";
import { formatIssue } from "../../../lib/errors/index.js";
import {
  anyOf,
  changed,
  list,
  nothing,
  number,
  object,
  oneOf,
  optional,
  otherwise,
  readShape,
  record,
  type Shape,
  shapeIssue,
  text,
  truth,
  where,
} from "../../../lib/study/shape/index.js";
import { fc } from "../../support/properties.js";

const bead = object({
  id: text,
  kind: otherwise(oneOf("plate", "wall"), "plate"),
  sizes: list(where(number, (size) => size > 0, "must be above 0")),
  sound: optional(truth),
  extra: optional(record(text, anyOf("a number or null", number, nothing))),
  day: optional(changed(text, (found, refuse) => (found === "?" ? refuse("must be known") : found.trim()))),
});

const faultsOf = (shape: Shape<unknown>, value: unknown): readonly string[] => {
  const read = readShape(shape, value);
  return "faults" in read ? read.faults.map((fault) => formatIssue(shapeIssue(fault))) : [];
};

describe("readShape", () => {
  test("gives a sound value back, trimmed and completed, and leaves out what was left out", () => {
    const read = readShape(bead, { id: "C1", sizes: [5.2], day: " 2 ", extra: { constructor: 3 } });
    expect(read).toEqual({
      value: { id: "C1", kind: "plate", sizes: [5.2], day: "2", extra: { constructor: 3 } },
    });
  });

  test.each([
    [3, '"(top)": must be an object { ... }, got "3"'],
    [{ sizes: [] }, '"id": is missing; must be a text'],
    [{ id: null, sizes: [] }, '"id": must be a text, got "null"'],
    [{ id: "C1", sizes: 4 }, '"sizes": must be a list [ ... ], got "4"'],
    [{ id: "C1", sizes: [5, "6"] }, '"sizes[1]": must be a number, got "6"'],
    [{ id: "C1", sizes: [-5] }, '"sizes[0]": must be above 0, got "-5"'],
    [{ id: "C1", sizes: [Number.NaN] }, '"sizes[0]": must be a number, got "NaN"'],
    // biome-ignore lint/suspicious/noSparseArray: a hole is what is tried.
    [{ id: "C1", sizes: [1, , 3] }, '"sizes[1]": is missing; must be a number'],
    [{ id: "C1", sizes: [], kind: "tube" }, '"kind": must be "plate" or "wall", got "tube"'],
    [{ id: "C1", sizes: [], sound: "yes" }, '"sound": must be true or false, got "yes"'],
    [{ id: "C1", sizes: [], day: "?" }, '"day": must be known, got "?"'],
    [{ id: "C1", sizes: [], extra: [1] }, '"extra": must be an object { name: value }, got "[1]"'],
    [{ id: "C1", sizes: [], extra: { a: "b" } }, '"extra.a": must be a number or null, got "b"'],
    [{ id: "C1", sizes: [], sizs: 1 }, '"sizs": unknown field; did you mean "sizes"?'],
    [
      { id: "C1", sizes: [], toString: 1 },
      '"toString": unknown field; known here: id, kind, sizes, sound, extra, day',
    ],
  ])("names path, value and what was expected in %j", (value, fault) => {
    expect(faultsOf(bead, value)).toEqual([fault]);
  });

  test("lists every fault, in the order of the fields", () => {
    expect(faultsOf(bead, { id: 1, sizes: [0, "x"], more: true })).toHaveLength(4);
  });

  test("answers any JSON without throwing, and a value read once reads the same again", () => {
    const part = fc.record(
      { id: fc.string(), sizes: fc.array(fc.double({ min: 0.1, max: 9 })), sound: fc.boolean() },
      { requiredKeys: ["id", "sizes"] },
    );
    fc.assert(
      fc.property(fc.oneof(part, fc.jsonValue()), (value) => {
        const read = readShape(bead, value);
        if ("faults" in read) expect(read.faults.length).toBeGreaterThan(0);
        else expect(readShape(bead, read.value)).toEqual(read);
      }),
    );
  });
});
