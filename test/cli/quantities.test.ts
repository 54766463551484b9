import { describe, expect, test } from "vitest";
import { parseAssignments } from "../../lib/cli/assignments.js";
import { type BeadbenchError, refusalOf } from "../../lib/errors/index.js";
import { buildOutcomeModel } from "../../lib/models/index.js";
import { parseStudyDefinition, readTable } from "../../lib/study/index.js";
import { convert, findUnit, parseQuantity } from "../../lib/units/index.js";
import { exampleDefinition } from "../study/support.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";
import { commandLine } from "./run.js";

/** What a door makes of a text: the value in the base unit of its kind, or what it says is wrong. */
type Answer = { readonly value: number } | { readonly fault: string };

const definition = parseStudyDefinition({
  ...exampleDefinition,
  responses: [...exampleDefinition.responses, { name: "gas_used", unit: "L/min" }],
});

/** Where study.json asks for a length or a flow, and the results that take the same. */
const kinds = [
  { unit: "mm", field: "wire.diameter", response: "bead_width" },
  { unit: "L/min", field: "gas.flow", response: "gas_used" },
] as const;
type Kind = (typeof kinds)[number];

function answer(work: () => number, words: (error: BeadbenchError) => string | undefined): Answer {
  let value = Number.NaN;
  const refusal = refusalOf(() => {
    value = work();
  });
  return refusal === undefined ? { value } : { fault: words(refusal) ?? refusal.message };
}

/** The message of the one issue of an error. */
const issueOf = ({ details }: BeadbenchError): string | undefined => details.issues?.[0]?.message;

const doors: Readonly<Record<string, (kind: Kind, text: string) => Answer>> = {
  "study.json": ({ unit, field }, text) =>
    answer(() => {
      const [object, name] = field.split(".") as ["wire" | "gas", "diameter" | "flow"];
      const changed = { ...exampleDefinition[object], [name]: text };
      const study = parseStudyDefinition({ ...exampleDefinition, [object]: changed });
      const found = object === "wire" ? study.wire!.diameter : study.gas!.flow!;
      return convert(found.value, found.unit, unit);
    }, issueOf),
  "the command line": ({ unit, response }, text) =>
    answer(
      () => {
        const { values, units } = parseAssignments(definition, [`${response}=${text}`]);
        return convert(Number(values[response]), units[response]!, unit);
      },
      ({ message }) => message.replace(`"${response}=${text}": `, ""),
    ),
  CSV: ({ unit }, text) =>
    answer(() => {
      const cell = `"${text.replaceAll('"', '""')}"`;
      // A second row says its unit, so that the column is one whose cells do.
      const csv = `size,note\n${cell},a\n1.5 ${unit},b\n`;
      return Number(readTable(csv, [{ name: "size", unit }])[0]!.size);
    }, issueOf),
};

const number = fc.oneof(
  fc.integer({ min: 1, max: 2000 }).map(String),
  fc.integer({ min: 1, max: 99_999 }).map((n) => String(n / 1000)),
  fc.integer({ min: 1, max: 63 }).map((n) => `${n}/64`),
  fc.tuple(fc.integer({ min: 1, max: 12 }), fc.constantFrom(" ", "-")).map(([n, gap]) => `${n}${gap}1/2`),
  fc.constantFrom("1.2e1", ".045", "+2", "5."),
);
const spelling: Readonly<Record<Kind["unit"], readonly string[]>> = {
  mm: ["mm", "MM", "um", "µm", "cm", "m", "in", "inch", "inches", "in.", '"', "''", "IN", "ft", "feet", "'"],
  "L/min": ["L/min", "l/min", "lpm", "LPM", "mL/min", "ft3/h", "cfh", "CFH", "scfh", "gpm", "m³/h"],
};
const kind = fc.constantFrom(...kinds);
const written = kind.chain((one) =>
  fc.tuple(
    fc.constant(one),
    fc.oneof(
      {
        weight: 6,
        arbitrary: fc
          .tuple(number, fc.constantFrom("", " ", "  "), fc.constantFrom(...spelling[one.unit]))
          .map((parts) => parts.join("")),
      },
      {
        weight: 1,
        arbitrary: fc.constantFrom(
          ...(one.unit === "mm" ? ["18 AWG", "awg 20", "16 ga", "12 gauge"] : ["9 lpm", "20cfh"]),
        ),
      },
    ),
  ),
);

describe("study.json, the command line and CSV read quantities by one grammar", () => {
  test("what a shop writes is taken by all three with the value parseQuantity gives", () => {
    fc.assert(
      fc.property(written, ([one, text]) => {
        const { value, unit } = parseQuantity(text, one.unit);
        const wanted = convert(value, unit, one.unit);
        for (const door of Object.values(doors)) {
          const found = door(one, text);
          expect(found).toHaveProperty("value");
          if ("value" in found) expectDigits(found.value, wanted, 13);
        }
      }),
      { numRuns: 300 },
    );
  });

  test("any text is taken by all with one value or refused by all with the same words", () => {
    const text = fc.oneof(
      fc.stringMatching(/^[-0-9./ "eFA,inmcLh'x]{1,8}$/),
      fc
        .tuple(number, fc.constantFrom("", " "), fc.constantFrom("", ...spelling.mm, ...spelling["L/min"]))
        .map((parts) => parts.join("")),
      fc
        .tuple(number, fc.constantFrom(" parsec", " A", " V", "kV", " mm mm", " degC", "1", " %"))
        .map((parts) => parts.join("")),
      fc.constantFrom("fast", "", "1/0 in", "1e999 mm", "1.2.3 mm"),
    );
    let taken = 0;
    let refused = 0;
    fc.assert(
      fc.property(kind, text, (one, raw) => {
        // A comma is the mark of a CSV file's dialect, an empty cell nothing measured, several numbers are
        // readings of a result, a quantity of 0 and less no diameter, and a number without unit is in the unit of
        // the study where a coupon is logged: each the door's own affair.
        const lone = raw.trim();
        fc.pre(!/^[\d./e -]+$/i.test(lone));
        fc.pre(lone !== "" && !lone.includes(",") && !/^[-+]/.test(lone) && !/\d[\s;]+[.\d]/.test(lone));
        const answers = Object.values(doors).map((door) => door(one, lone));
        fc.pre(
          !answers.some(
            (found) =>
              "fault" in found && /above 0|looks like a date|thousands|leave the cell/.test(found.fault),
          ),
        );
        const [first, ...rest] = answers;
        for (const other of rest) {
          if ("value" in first! && "value" in other) expectDigits(other.value, first.value, 13);
          else expect(other).toEqual(first);
        }
        if ("value" in first!) taken++;
        else refused++;
      }),
      { numRuns: 600 },
    );
    expect(taken).toBeGreaterThan(50);
    expect(refused).toBeGreaterThan(50);
  });

  test.each([
    ["bead_width", "5/64 in", 5 / 64, "in"],
    ["bead_width", "1 1/2 in", 1.5, "in"],
    ["bead_width", "18 AWG", 1.0236, "mm"],
    ["travel_speed", "7 IPM", 7, "in/min"],
  ])("a column %s takes the cell %s", (name, text, value, unit) => {
    const { values, units } = parseAssignments(definition, [`${name}=${text}`]);
    expect(units[name]).toBe(unit);
    expectDigits(Number(values[name]), value, 4);
    const csv = `${name}\n${text.includes('"') ? `"${text}"` : text}\n`;
    const like = name === "bead_width" ? "mm" : "mm/min";
    const [row] = readTable(csv, [{ name, unit: like }]);
    expectDigits(Number(row![name]), convert(Number(values[name]), unit, like), 13);
  });

  test("a unit is read by any spelling of the command line in study.json and in CSV headings", () => {
    const study = (unit: string) =>
      parseStudyDefinition({
        ...exampleDefinition,
        factors: [{ name: "travel_speed", unit, low: 1, high: 9 }],
      });
    for (const spelt of ["IPM", "ipm", "in./min", "in/min"]) {
      expect(study(spelt).factors[0]!.unit).toBe("in/min");
      const [row] = readTable(`feed [${spelt}]\n120\n`, [{ name: "feed", unit: "mm/s" }]);
      expectDigits(Number(row!.feed), 50.8, 13);
    }
    expect(findUnit("CFH").symbol).toBe("ft3/h");
  });

  test("a millipascal is not taken for a megapascal, nor a megagram for a milligram", () => {
    expect(() => parseQuantity("5 mPa")).toThrow(/unknown unit "mPa"/);
    expect(() => parseQuantity("5 Mg")).toThrow(/unknown unit "Mg"/);
    expect(parseQuantity("5 MPA").unit).toBe("MPa");
  });

  test("readings of one kind stand before one unit, and 1 1/2 in is a mixed number", () => {
    const read = (text: string) => parseAssignments(definition, [`bead_width=${text}`]);
    expect(read("2.1 2.2 2.0 mm").readings.bead_width).toEqual([2.1, 2.2, 2]);
    expect(read("1/2; 1 1/8 in").readings.bead_width).toEqual([0.5, 1.125]);
    expect(read("2.1;2.2mm").units.bead_width).toBe("mm");
    expect(read("1 1/2 in").values.bead_width).toBe(1.5);
  });

  test("a bare fraction under a heading of mm is asked for its unit", () => {
    const cell = (heading: string) => readTable(`size [${heading}]\n5/64\n`, [{ name: "size", unit: "mm" }]);
    expectDigits(Number(cell("in")[0]!.size), 1.984375, 13);
    expect(() => cell("mm")).toThrow(
      /is a fraction, which is read in inches.*write its unit, such as 5\/64 in/,
    );
  });

  test("a quantity refused in another unit is told without the digits that converting leaves", async () => {
    const { pipe } = commandLine();
    const log = "layer,standoff [mm],rise [mm]\n1,3,1.6\n2,3.1,1.6\n3,3,1.6\n4,3.1,1.6\n";
    // 0.3 x 25.4 is 7.619999999999999 in binary.
    const { status, notes } = await pipe(log, "standoff", "-", "--gauge-sd=-0.3 in");
    expect(status).toBe(1);
    expect(notes).toContain("got -7.62 mm");
    const prior = { priors: { electrode_extension: "-0.3 in" } };
    const study = { definition: parseStudyDefinition({ ...exampleDefinition, ...prior }), coupons: [] };
    expect(() => buildOutcomeModel(study)).toThrow("got -7.62 mm");
  });
});
