import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { runCommandLine } from "../../lib/cli/program.js";
import { resultFromWords, settingFromWords } from "../../lib/cli/study-words.js";
import { commandLine } from "./run.js";

describe("a study in words", () => {
  test.each([
    ["current 90 to 180 A", { name: "current", low: 90, high: 180, unit: "A" }],
    ["wfs 0.5..2 m/min", { name: "wire_feed_speed", low: 0.5, high: 2, unit: "m/min" }],
    ["wire feed 0,5 to 1,25 m/min", { name: "wire_feed_speed", low: 0.5, high: 1.25, unit: "m/min" }],
    ["Travel speed 3-8 ipm", { name: "travel_speed", low: 3, high: 8, unit: "in/min" }],
    [
      "gas: argon, argon+2 % hydrogen",
      { name: "gas", kind: "category", levels: ["argon", "argon+2 % hydrogen"] },
    ],
  ])("the setting %s", (text, wanted) => {
    expect(settingFromWords(text)).toEqual(wanted);
  });

  test.each([
    ["bead width 5.5 to 6.5 mm", { name: "bead_width", unit: "mm", spec: { lower: 5.5, upper: 6.5 } }],
    ["bead width 5,5 to 6,5 mm", { name: "bead_width", unit: "mm", spec: { lower: 5.5, upper: 6.5 } }],
    ["penetration at least 2 mm", { name: "penetration", unit: "mm", spec: { lower: 2 } }],
    ["Ra up to 12.5 um", { name: "ra", unit: "um", spec: { upper: 12.5 } }],
    ["sound bead", { name: "sound_bead", kind: "passFail" }],
  ])("the result %s", (text, wanted) => {
    expect(resultFromWords(text)).toEqual(wanted);
  });

  test.each([
    ["gas flow 1,000 to 2,000 L/min", /write it with its ends and unit/],
    ["current 180 to 90 A", /the lower end comes first/],
    ["current 90 to 180", /write it with its ends and unit/],
    ["current 90 to 180 furlongs", /unknown unit "furlongs"/],
    ["current", /write it with its ends and unit/],
  ])("%s is no setting", (text, message) => {
    expect(() => settingFromWords(text)).toThrow(message);
  });

  test.each([
    ["bead width 6 mm", /write it with its ends and unit/],
    ["bead width 6.5 to 5.5 mm", /the lower end comes first/],
  ])("%s is no result", (text, message) => {
    expect(() => resultFromWords(text)).toThrow(message);
  });
});

const options = [
  ...["--process", "141", "--wire", "ER308L", "--diameter", "1.2 mm", "--set", "current 90 to 180 A"],
  ...["--set", "travel speed 70 to 200 mm/min", "--want", "bead width 5.5 to 6.5 mm", "--want", "sound bead"],
];

describe("new from a file of results", () => {
  const table =
    "coupon,current [A],width 1 [in],width 2 [in],sound,Notes\nA1,90,0.20,0.21,yes,calm\nA2,120,0.24,0.23,no,\n";
  const drafted = async (...more: readonly string[]) => {
    const shell = commandLine();
    writeFileSync(join(shell.folder, "mine.csv"), table);
    const from = ["new", "mine", "--from", "mine.csv", "--process", "141", "--wire", "none"];
    return { shell, ...(await shell.run(...from, ...more)) };
  };

  test("--want says in any unit which beads are good, and the same file is imported with its remarks", async () => {
    const { shell, status } = await drafted("--want", "width 5.08 to 6.35 mm", "--want", "sound");
    expect(status).toBe(0);
    const [width] = JSON.parse(readFileSync(join(shell.folder, "mine", "study.json"), "utf8")).responses;
    expect(width).toMatchObject({ name: "width", unit: "in", spec: { lower: 0.2, upper: 0.25 } });
    expect((await shell.run("import", "mine", "mine.csv")).status).toBe(0);
    expect((await shell.run("export", "mine", "--format", "csv")).out).toContain("calm");
  });

  test.each([
    ["widht 5 to 6 mm", /widht is no result of the file; results are width, sound/],
    ["width 5 to 6 A", /width is a current; a length is wanted here/],
    ["width", /width is measured: say what is good/],
    ["sound 1 to 2 mm", /sound holds yes and no in the file/],
  ])("--want %s is refused, and nothing is begun", async (want, message) => {
    const { shell, status, notes } = await drafted("--want", want);
    expect(status).toBe(1);
    expect(notes).toMatch(message);
    expect(existsSync(join(shell.folder, "mine"))).toBe(false);
  });

  test("an option that the file answers itself is refused", async () => {
    expect((await drafted("--set", "current 80 to 90 A")).notes).toContain("leave --set out");
    const { shell } = await drafted();
    const { notes } = await shell.run("new", "b", "--from", "mine/study.json", "--want", "width 5 to 6 mm");
    expect(notes).toContain("mine/study.json says this itself: leave --want out");
  });
});

describe("new without a file", () => {
  test("takes all as options in a pipe, and the study runs", async () => {
    const shell = commandLine();
    const { status, out, notes } = await shell.run("new", "rings", ...options);
    expect([status, notes]).toEqual([0, ""]);
    expect(out).toContain("settings current, travel_speed; results bead_width, sound_bead");
    expect((await shell.run("plan", "rings", "--coupons", "4")).status).toBe(0);
  });

  test("names every option that is lacking, and writes nothing", async () => {
    const shell = commandLine();
    const { status, notes } = await shell.run("new", "rings", "--process", "141");
    expect(status).toBe(1);
    for (const option of ["--from", "--wire", "--diameter", "--set", "--want"])
      expect(notes).toContain(option);
    expect(existsSync(join(shell.folder, "rings"))).toBe(false);
  });

  /** Runs `new` for someone who types these lines. */
  async function typed(lines: readonly string[], ...args: readonly string[]) {
    const { folder } = commandLine();
    const left = [...lines];
    let notes = "";
    const status = await runCommandLine(["new", "rings", ...args], {
      out: () => undefined,
      note: (text) => {
        notes += text;
      },
      ask: async () => left.shift(),
      readInput: async () => "",
      untilStopped: async () => undefined,
      clock: () => new Date("2026-04-01T08:00:00Z"),
      folder,
    });
    const file = join(folder, "rings", "study.json");
    return {
      status,
      notes,
      left,
      study: existsSync(file) ? JSON.parse(readFileSync(file, "utf8")) : undefined,
    };
  }

  test("asks at a terminal, and again what could not be read", async () => {
    const { status, notes, study, left } = await typed([
      "999",
      "141",
      "ER308L",
      "1.2 parsec",
      "1.2 mm",
      "",
      "current 180 to 90 A",
      "current 90 to 180 A",
      "",
      "bead width 5.5 to 6.5 mm",
      "sound bead",
      "",
    ]);
    expect([status, left]).toEqual([0, []]);
    expect(notes).toMatch(/process "999" is not a process known here/);
    expect(notes).toMatch(/unknown unit "parsec"/);
    expect(notes).toMatch(/the lower end comes first/);
    expect(notes).toMatch(/current \d+ to \d+ A/);
    expect(study).toMatchObject({
      process: "141",
      factors: [{ name: "current", unit: "A", low: 90, high: 180 }],
      responses: [
        { name: "bead_width", spec: { lower: 5.5, upper: 6.5 } },
        { name: "sound_bead", kind: "passFail" },
      ],
      blocks: ["day"],
    });
  });

  test("does not ask what was given, and writes nothing where the answers end", async () => {
    const given = await typed(["bead width 5.5 to 6.5 mm", ""], ...options.slice(0, 10));
    expect(given.status).toBe(0);
    const short = await typed(["141", "none"]);
    expect(short).toMatchObject({ status: 1, study: undefined });
    expect(short.notes).toContain("nothing was written");
  });
});
