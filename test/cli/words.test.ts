import { describe, expect, test } from "vitest";
import { parseAssignments } from "../../lib/cli/assignments.js";
import { parseStudyDefinition, readTable } from "../../lib/study/index.js";
import { exampleDefinition } from "../study/support.js";

const definition = parseStudyDefinition(exampleDefinition);
const typed = (word: string) => parseAssignments(definition, [`sound_bead=${word}`]).values.sound_bead;
const cell = (word: string) =>
  readTable(`n,stuck\n1,"${word}"\n`, [{ name: "stuck", unit: "yes/no" }])[0]!.stuck;

const yes = [
  "true",
  "yes",
  "y",
  "pass",
  "ok",
  "good",
  "1",
  "ja",
  "oui",
  "si",
  "sí",
  "TRUE",
  "Yes",
  "OK",
  "Ja",
];
const no = ["false", "no", "n", "fail", "nok", "bad", "0", "nein", "non", "FALSE", "No", "NOK", "Nein"];

describe("yes and no are read by one grammar on the command line and in CSV", () => {
  test.each(yes)("%s is yes", (word) => {
    expect([typed(word), cell(word)]).toEqual([true, 1]);
  });
  test.each(no)("%s is no", (word) => {
    expect([typed(word), cell(word)]).toEqual([false, 0]);
  });
  test.each(["maybe", "j", "o", "s", "2", "yes?", "ok-ish"])(
    "%s is refused by both with what is taken",
    (word) => {
      expect(() => typed(word)).toThrow(/write yes or no \(true\/false, .*si\/no are read too\)/);
      expect(() => cell(word)).toThrow(/write yes or no \(true\/false, .*si\/no are read too\)/);
    },
  );
});

test("a fault that many lines share is told once, with the lines and the values found", () => {
  const rows = ["maybe", "maybe", "perhaps", "yes", "maybe"].map((word, i) => `${i},${word}`).join("\n");
  const lines = (): string[] => {
    try {
      readTable(`n,stuck\n${rows}\n`, [{ name: "stuck", unit: "yes/no" }], { file: "stops.csv" });
    } catch (error) {
      return (error as Error).message.split("\n").slice(1);
    }
    return [];
  };
  expect(lines()).toHaveLength(1);
  expect(lines()[0]).toMatch(
    /^ {2}stops\.csv:2 \(also lines 3 to 4, 6\), "stuck": .*, got "maybe", "perhaps"$/,
  );
});
