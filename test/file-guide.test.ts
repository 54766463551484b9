import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { commands } from "../lib/cli/commands.js";
import { parseEquipment } from "../lib/cli/equipment.js";
import {
  type BeadbenchError,
  createStudy,
  importCsv,
  parseStudyDefinition,
  scratchFolder,
} from "../lib/index.js";
import { parseMachineMap } from "../lib/presets/index.js";

const root = new URL("../", import.meta.url);
const guide = readFileSync(new URL("schemas/README.md", root), "utf8");
const blocks = [...guide.matchAll(/```(json|csv)\n([\s\S]*?)```/g)].map((match) => match[2]!);
const [study, coupons, equipment] = blocks as [string, string, string];

/** Every field some object of a study.json may have, as the refusal of a field that no object has names them. */
function knownFields(json: unknown): readonly string[] {
  const withStranger = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(withStranger);
    if (value === null || typeof value !== "object") return value;
    return Object.fromEntries([
      ...Object.entries(value).map(([key, one]) => [key, withStranger(one)]),
      ["zzzzzzzzzzzz", 1],
    ]);
  };
  try {
    parseStudyDefinition(withStranger(json));
  } catch (error) {
    const text = (error as BeadbenchError).message;
    return [...text.matchAll(/known here: ([\w, ]+)/g)].flatMap((match) => match[1]!.split(", "));
  }
  throw new Error("a field that no object has was taken");
}

describe("the guide to every file", () => {
  test("names every field of a study.json, in its example and in words", () => {
    const fields = new Set(knownFields(JSON.parse(study)));
    expect(fields.size).toBeGreaterThan(40);
    const words = guide.slice(guide.indexOf("| `schema` |"), guide.indexOf("## journal.jsonl"));
    for (const field of fields) {
      expect(study, field).toContain(`"${field}"`);
      expect(words, field).toMatch(new RegExp(`[\`"]${field}[\`"]`));
    }
  });

  test("its study, its coupons and its equipment are read as they stand", () => {
    const folder = join(scratchFolder(), "guide");
    const made = createStudy(folder, JSON.parse(study));
    const after = importCsv(made, coupons, { clock: () => new Date("2026-03-02T08:00:00Z") }).study;
    expect(after.coupons.map(({ id }) => id)).toEqual(["C01", "C02"]);
    expect(after.coupons[0]!.blocks).toEqual({ day: "1" });
    expect(parseEquipment(equipment, "equipment.json").source).toMatchObject({ current: 200, duty: 0.35 });
  });

  test("every command that reads a table of readings is in it, with the columns its help names", () => {
    const table = guide.slice(guide.indexOf("## Tables of readings"), guide.indexOf("## preset.json"));
    const readers = commands.filter(({ usage }) => /<(log|points|readings|stops)>/.test(usage));
    expect(readers.length).toBeGreaterThan(8);
    for (const { usage, description } of readers) {
      const name = usage.split(" ")[0]!;
      const row = table.split("\n").find((line) => line.startsWith(`| \`${name}\``));
      expect(row, name).toBeDefined();
      for (const [, column] of description.matchAll(/(\w+) \[[\w/]+\]/g))
        expect(row, name).toContain(`\`${column}`);
    }
  });

  test("every file and link it names is there", () => {
    for (const [, path] of guide.matchAll(/\]\(([\w.-]+\.\w+)\)/g))
      expect(readFileSync(new URL(`schemas/${path}`, root), "utf8")).not.toBe("");
    for (const [, anchor] of guide.matchAll(/\]\(#([\w-]+)\)/g))
      expect(guide.toLowerCase().replaceAll(/[^\w\n #-]/g, "")).toContain(
        `## ${anchor!.replaceAll("-", " ")}`,
      );
    parseMachineMap(readFileSync(new URL("data-demo/machine.json", root), "utf8"));
  });
});
