import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { parsePreset } from "../../lib/presets/index.js";
import { createDemoStudy } from "../../lib/study/index.js";
import { readProgram } from "../support/rs274.js";
import { commandLine } from "./run.js";

describe("export of a preset", () => {
  const shell = commandLine();
  const at = (name: string): string => join(shell.folder, name);
  beforeAll(async () => {
    createDemoStudy(at("rings"));
    // The demo's study before its first coupon.
    copyFileSync(new URL("../../data-demo/study.json", import.meta.url), at("study.json"));
    await shell.run("new", "empty", "--from", "study.json");
    copyFileSync(new URL("../../data-demo/machine.json", import.meta.url), at("machine.json"));
    // As the README shows it.
    const readme = readFileSync(new URL("../../README.md", import.meta.url), "utf8");
    writeFileSync(at("mine.txt"), /^\{\{#cautions\}\}#[\s\S]*?(?=^```)/m.exec(readme)![0]);
    await shell.run("preset", "rings", "--json", "proven.json");
    await shell.run("preset", "empty", "--json", "empty.json");
  }, 120_000);
  const forms: readonly (readonly string[])[] = [
    ["preset-json"],
    ["preset-csv"],
    ["ngc", "--machine", "machine.json"],
    ["template", "--template", "mine.txt"],
    ["procedure", "--paper", "Letter"],
  ];

  test.each(forms)(
    "%s is written of the demo's preset, with what it lost on the notes",
    async (format, ...more) => {
      const { status, out, notes } = await shell.run(
        "export",
        "rings",
        "--format",
        format!,
        "--preset",
        "proven.json",
        ...more,
      );
      expect(status, notes).toBe(0);
      expect(out).toContain("135");
      expect(out).toMatch(/fire watch/);
      expect(out).not.toContain("UNPROVEN");
      expect(notes).toMatch(format === "preset-json" ? /^$/ : /^Not carried: /);
      if (format === "ngc") readProgram(out, { extended: true, outputs: [64, 65, 67] });
      if (format === "preset-json")
        expect(parsePreset(out).settings).toEqual(
          parsePreset(readFileSync(at("proven.json"), "utf8")).settings,
        );
      if (format === "procedure") {
        expect(out).toContain("PRELIMINARY – NOT QUALIFIED");
        expect(out).toContain("size:Letter");
        const order = [
          "Manufacturer",
          "Parent material",
          "Process and joint",
          "Welding technique",
          "Welding consumables",
          "Electrical parameters",
          "Mechanised welding",
          "Temperatures",
          "Shielding gas",
          "Heat input",
        ];
        const places = order.map((heading) => out.indexOf(`scope="rowgroup">${heading}`));
        expect(places.every((place) => place > 0)).toBe(true);
        expect([...places].sort((a, b) => a - b)).toEqual(places);
      }
    },
  );

  test.each(forms)(
    "%s of a preset from no coupons is refused, and marked on every line where it is asked for",
    async (format, ...more) => {
      const line = ["export", "empty", "--format", format!, "--preset", "empty.json", ...more];
      const refused = await shell.run(...line);
      expect([refused.status, refused.out]).toEqual([1, ""]);
      expect(refused.notes).toMatch(/it rests on no coupon; it has a chance of .*--unproven/);
      const { status, out } = await shell.run(...line, "--unproven");
      expect(status).toBe(0);
      const rows =
        format === "procedure"
          ? out.split("\n").filter((row) => row.startsWith("<tr><th") && !row.includes("Standing"))
          : format === "preset-json"
            ? [JSON.stringify(JSON.parse(out).settings[0])]
            : out
                .trimEnd()
                .split("\n")
                .slice(format === "preset-csv" ? 1 : 0);
      expect(rows.length).toBeGreaterThan(0);
      for (const row of rows) expect(row).toContain("UNPROVEN");
    },
  );

  test("preset --csv keeps to the same rule, preset --json is marked in itself, and the terminal says it first", async () => {
    const { status, notes } = await shell.run("preset", "empty", "--csv", "-");
    expect([status, notes]).toEqual([1, expect.stringMatching(/rests on no coupon/)]);
    expect(JSON.parse(readFileSync(at("empty.json"), "utf8")).settings[0].mark).toBe(
      "UNPROVEN: rests on no coupon; has a chance of 6.7 %, asked 80 %",
    );
    expect((await shell.run("preset", "empty")).out).toMatch(/^UNPROVEN: rests on no coupon; has a chance/);
  });

  test("preset takes the layers of `wall --json` and a review date", async () => {
    const wall = await shell.run(
      "wall",
      "rings",
      "--preset",
      "proven.json",
      "--length",
      "120 mm",
      "--layers",
      "6",
      "--json",
    );
    writeFileSync(at("schedule.json"), wall.out);
    const line = ["preset", "rings", "--schedule", "schedule.json", "--review", "2027-01-31", "--json"];
    const { schedule, review } = parsePreset((await shell.run(...line)).out);
    expect(schedule!.layers).toEqual(JSON.parse(wall.out).layers);
    expect(schedule!.path).toBe(120);
    expect(review.by).toBe("2027-01-31");
    writeFileSync(at("schedule.json"), '{ "layers": [] }');
    expect((await shell.run(...line)).notes).toMatch(/schedule\.json is no layer schedule[\s\S]*"layers"/);
    expect((await shell.run("preset", "rings", "--review", "31.1.2027")).notes).toMatch(
      /Write a date such as 2027-03-31/,
    );
  }, 60_000);

  test("says what a form needs, and where the user's own file is wrong, before it searches a preset", async () => {
    expect((await shell.run("export", "rings", "--format", "ngc")).notes).toMatch(
      /--format ngc needs --machine/,
    );
    writeFileSync(
      at("rig.json"),
      readFileSync(at("machine.json"), "utf8").replace('"off": "M9"', '"off": "M30"'),
    );
    expect((await shell.run("export", "rings", "--format", "ngc", "--machine", "rig.json")).notes).toMatch(
      /rig\.json:13, "outputs\.gas\.off": M30 stops, ends or reroutes a program.*got "M30"/,
    );
    writeFileSync(at("odd.txt"), "{{#cautions}}{{.}}{{/cautions}}\n{{curent}}\n");
    expect(
      (
        await shell.run(
          "export",
          "rings",
          "--format",
          "template",
          "--template",
          "odd.txt",
          "--preset",
          "proven.json",
        )
      ).notes,
    ).toMatch(/odd\.txt:2: is no tag known here/);
  });
});
