import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeAll, describe, expect, test } from "vitest";
import { parsePreset } from "../../lib/presets/index.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");

const header =
  "coupon,current [A],travel_speed [mm/min],wire_feed_speed [m/min],bead_width [mm],bead_height [mm],sound_bead";

/** Beads of an invented rig: width by energy, height by mass balance with fullness 0.7 and a fixed wobble. */
function results(): string {
  const rows = [
    [120, 140, 0.9],
    [120, 200, 1.2],
    [160, 140, 1.2],
    [160, 200, 0.9],
    [140, 170, 1.05],
    [140, 170, 1.05],
    [140, 170, 1.05],
    [150, 150, 1.1],
    [130, 190, 1],
    [145, 160, 1.15],
  ].map(([current, travel, feed], i) => {
    const wobble = 1 + 0.03 * Math.sin(5 * i);
    const width = 6 * (current! / 140) ** 0.8 * (travel! / 170) ** -0.4 * wobble;
    const height = (Math.PI * 0.36 * feed! * 1000) / travel! / (0.7 * width);
    return `C${i + 1},${current},${travel},${feed},${width.toFixed(2)},${height.toFixed(2)},yes`;
  });
  return `${[header, ...rows].join("\n")}\n`;
}

const start = ["--process", "141", "--wire", "ER308L", "--diameter", "1.2 mm"] as const;

/** A study made from the results, with a specification. */
async function madeStudy() {
  const shell = commandLine();
  writeFileSync(join(shell.folder, "results.csv"), results());
  const made = await shell.run("new", "rings", "--from", "results.csv", ...start);
  expect(made.status, made.notes).toBe(0);
  const path = join(shell.folder, "rings", "study.json");
  const definition = JSON.parse(readFileSync(path, "utf8"));
  for (const response of definition.responses) {
    if (response.name === "bead_width") response.spec = { lower: 5.2, upper: 6.8 };
    if (response.name === "bead_height") response.spec = { lower: 1.3, upper: 2.2 };
  }
  writeFileSync(path, JSON.stringify(definition));
  return shell;
}

describe("the loop from a results file to a preset", () => {
  let shell: Awaited<ReturnType<typeof madeStudy>>;
  beforeAll(async () => {
    shell = await madeStudy();
    const imported = await shell.run("import", "rings", "results.csv");
    expect(imported.out).toBe("10 coupons logged\n");
  });

  test("check passes and prints the pure error", async () => {
    const { status, out } = await shell.run("check", "rings");
    expect(status).toBe(0);
    expect(out).toContain("10 coupons logged, 0 planned, 0 voided");
    expect(out).toMatch(/bead_width +1 +3/);
  });

  test("fit prints exponents, and JSON with --json", async () => {
    expect((await shell.run("fit", "rings", "--detail")).out).toMatch(/current +0\.\d+/);
    const fit = JSON.parse((await shell.run("fit", "rings", "--json")).out);
    const current = fit.constrained[0].exponents.find((e: { term: string }) => e.term === "current");
    // The results were made with 0.8.
    expect(current.lower).toBeLessThan(0.8);
    expect(current.upper).toBeGreaterThan(0.8);
  });

  test("window and preset agree on the setting; the preset reads back", async () => {
    const window = JSON.parse((await shell.run("window", "rings", "--json")).out);
    const wrote = await shell.run(
      "preset",
      "rings",
      "--detail",
      "--json",
      "preset.json",
      "--csv",
      "preset.csv",
    );
    expect(wrote.status, wrote.notes).toBe(0);
    const preset = parsePreset(readFileSync(join(shell.folder, "preset.json"), "utf8"));
    expect(preset.settings.map(({ value }) => value)).toEqual(
      window.best.settings.map(({ value }: { value: number }) => value),
    );
    expect(preset.made).toBe("2026-04-01T08:00:00.000Z");
    expect(preset.chance.value).toBeGreaterThan(0.5);
    // Checks stand beside the sizes, as the window says them; the first presets had none and are read too.
    expect(preset.checks).toEqual([
      { name: "sound_bead", chance: window.best.conformance.perCheck.sound_bead },
    ]);
    expect(wrote.out).toMatch(/^sound_bead +\d+ %$/m);
    const old = new URL("../presets/fixtures/preset-1.json", import.meta.url);
    const { checks: _, ...before } = JSON.parse(readFileSync(old, "utf8"));
    expect(parsePreset(JSON.stringify(before)).checks).toEqual([]);
    expect(readFileSync(join(shell.folder, "preset.csv"), "utf8")).toMatch(/^setting,value,unit,low,high,/);
  });

  test("next writes planned coupons to the journal and a CSV that import takes back", async () => {
    const next = await shell.run("next", "rings", "--coupons", "3", "--csv", "next.csv");
    expect(next.status, next.notes).toBe(0);
    expect(next.out).toMatch(/Why\n( +1 |Runs 1)/);
    const csv = readFileSync(join(shell.folder, "next.csv"), "utf8");
    expect(csv.trim().split("\n")).toHaveLength(4);
    const filled = await shell.pipe(csv, "import", "rings", "-");
    expect(filled.status, filled.notes).toBe(0);
    const again = await shell.run("check", "rings", "--json");
    expect(JSON.parse(again.out).counts).toEqual({ logged: 10, planned: 3, voided: 0 });
  });

  test("report writes one self-contained page", async () => {
    expect((await shell.run("report", "rings", "--html", "report.html")).status).toBe(0);
    const page = readFileSync(join(shell.folder, "report.html"), "utf8");
    expect(page).toContain("Recommended preset");
    expect(page).not.toMatch(/(src|href)="https?:/);
  });

  test("export writes CSV and JSON to standard output", async () => {
    expect((await shell.run("export", "rings")).out).toMatch(/^coupon,run_order,state/);
    expect(JSON.parse((await shell.run("export", "rings", "--format", "json")).out).coupons).toHaveLength(13);
  });
});

describe("plan and evaluate", () => {
  test("plans 4 settings, one hard to change, under a limit on arc energy, on top of 8 coupons, and judges it", async () => {
    const shell = commandLine();
    const demo = JSON.parse(readFileSync(join(root, "data-demo", "study.json"), "utf8"));
    const standoff = demo.factors.find((factor: { name: string }) => factor.name === "standoff");
    standoff.change = "hard";
    writeFileSync(join(shell.folder, "study.json"), JSON.stringify(demo));
    await shell.run("new", "rings", "--from", "study.json");
    const day = readFileSync(join(root, "data-demo", "day-1.csv"), "utf8")
      .split("\n")
      .slice(0, 9)
      .join("\n");
    expect((await shell.pipe(day, "import", "rings", "-")).out).toMatch(/8 coupons logged/);
    const { status, out, notes } = await shell.run(
      "plan",
      "rings",
      "--coupons",
      "16",
      "--evaluate",
      "--csv",
      "plan.csv",
    );
    expect(status, notes).toBe(0);
    // Six of the eight stubbed: they gave no dimensions.
    expect(out).toMatch(/16 coupons and 2 already run in \d+ groups of hard-to-change settings/);
    expect(out).toMatch(/Effects \(chance to detect/);
    const [head, ...rows] = readFileSync(join(shell.folder, "plan.csv"), "utf8").trim().split("\n");
    const column = (name: string): number => head!.split(",").findIndex((title) => title.startsWith(name));
    const cells = rows.map((row) => row.split(","));
    expect(cells.map((row) => Number(row[column("run_order")]))).toEqual(rows.map((_, i) => i + 9));
    for (const row of cells) {
      // The limit: 12.8 V x A x 60 / (mm/min) at most 1500 J/mm.
      expect(
        (12.8 * Number(row[column("current")]) * 60) / Number(row[column("travel_speed")]),
      ).toBeLessThanOrEqual(1500);
    }
    const again = await shell.run("evaluate", "rings");
    expect(again.out).toMatch(/16 coupons and 2 already run/);
    const beside = await shell.run("evaluate", "rings", "plan.csv", "--against", "plan.csv");
    expect(beside.out).toMatch(/coupons +16 +16/);
  });

  test("first coupons of a study with a specification follow the physics; a named design stays classical", async () => {
    const shell = commandLine();
    writeFileSync(
      join(shell.folder, "study.json"),
      readFileSync(join(root, "data-demo", "study.json"), "utf8"),
    );
    await shell.run("new", "rings", "--from", "study.json");
    const led = await shell.run("plan", "rings", "--coupons", "6", "--dry");
    expect(led.notes).toMatch(/follow the physics/);
    expect(led.out).toMatch(/before any coupon, by the physics/);
    const classical = await shell.run(
      "plan",
      "rings",
      "--coupons",
      "12",
      "--design",
      "latin-hypercube",
      "--dry",
    );
    expect(classical.notes).not.toMatch(/physics/);
    expect(classical.out).toMatch(/design latin-hypercube/);
  });

  test("blocks go to the study's block column", async () => {
    const shell = commandLine();
    const demo = JSON.parse(readFileSync(join(root, "data-demo", "study.json"), "utf8"));
    writeFileSync(join(shell.folder, "study.json"), JSON.stringify(demo));
    await shell.run("new", "rings", "--from", "study.json");
    const planned = await shell.run(
      "plan",
      "rings",
      "--coupons",
      "18",
      "--design",
      "latin-hypercube",
      "--blocks",
      "2",
    );
    expect(planned.status, planned.notes).toBe(0);
    const { coupons } = JSON.parse((await shell.run("export", "rings", "--format", "json")).out);
    expect(new Set(coupons.map((c: { blocks: { day: string } }) => c.blocks.day))).toEqual(
      new Set(["1", "2"]),
    );
  });
});

describe("log", () => {
  test("logs a coupon, corrects it, and keeps both", async () => {
    const shell = await madeStudy();
    const settings = ["current=140A", "travel_speed=170 mm/min", "wire_feed_speed=41.3 in/min"];
    expect(
      (await shell.run("log", "rings", "X1", ...settings, "bead_height=2.0 2.2 2.1 mm", "sound_bead=yes"))
        .status,
    ).toBe(0);
    expect(
      (await shell.run("log", "rings", "X1", "--correct", "sound_bead=no", "--why", "pore found")).status,
    ).toBe(0);
    const study = JSON.parse((await shell.run("export", "rings", "--format", "json")).out);
    const [coupon] = study.coupons;
    expect(coupon.results.sound_bead).toEqual({ kind: "passFail", passed: false });
    expectDigits(coupon.results.bead_height.value, 2.1, 12);
    expect(coupon.results.bead_height.scatter.readings).toEqual([2, 2.2, 2.1]);
    const journal = readFileSync(join(shell.folder, "rings", "journal.jsonl"), "utf8");
    expect(journal).toContain('"sound_bead":true');
    expect(journal).toContain("pore found");
  });

  const faults: readonly (readonly [string, readonly string[], RegExp])[] = [
    [
      "a number without a unit in a column of its own",
      ["log", "rings", "X1", "preheat=140"],
      /"preheat=140": preheat is no column of this study\. As a column of its own it has no unit: write 140/,
    ],
    [
      "an unknown unit",
      ["log", "rings", "X1", "current=140 amperes"],
      /has an unknown unit "amperes": write one of A/,
    ],
    ["a unit of another kind", ["log", "rings", "X1", "current=140 mm"], /current/],
    ["a word for a check", ["log", "rings", "X1", "sound_bead=maybe"], /write yes or no/],
    ["nothing at all", ["log", "rings"], /nothing to log/],
    [
      "a correction without reason",
      ["log", "rings", "X1", "--correct", "sound_bead=no"],
      /say why with --why/,
    ],
    ["an unknown coupon", ["log", "rings", "X9", "--void", "--why", "lost"], /X9/],
    ["a missing study", ["check", "nowhere"], /there is no study in/],
    ["a missing file", ["import", "rings", "none.csv"], /cannot read none.csv/],
    [
      "an unknown design",
      ["plan", "rings", "--coupons", "8", "--design", "guess"],
      /--design "guess" is unknown/,
    ],
    ["a count that is none", ["plan", "rings", "--coupons", "-2"], /whole number of at least 1/],
    ["a study that exists", ["new", "rings", "--from", "results.csv", ...start], /exists already/],
    ["an unknown coupon to leave out", ["fit", "rings", "--without", "Q7"], /no coupon called Q7/],
  ];

  test.each(faults)(
    "refuses %s with exit 1, a message that says how to mend it, and writes nothing",
    async (_, args, message) => {
      const shell = await madeStudy();
      const before = readdirSync(join(shell.folder, "rings"));
      const { status, out, notes } = await shell.run(...args);
      expect(status).toBe(1);
      expect(out).toBe("");
      expect(notes).toMatch(message);
      expect(readdirSync(join(shell.folder, "rings"))).toEqual(before);
      expect(
        existsSync(join(shell.folder, "rings", "journal.jsonl"))
          ? readFileSync(join(shell.folder, "rings", "journal.jsonl"), "utf8")
          : "",
      ).toBe("");
    },
  );
});

describe("import", () => {
  const bad = `${results()}C11,150,150,wide,6.1,2.0,yes\nC12,150,150,1.1,6.1,2.0,perhaps\n`;

  test("takes nothing from a file with faults, and lists each with line, column and value", async () => {
    const shell = await madeStudy();
    const { status, notes } = await shell.pipe(bad, "import", "rings", "-");
    expect(status).toBe(1);
    expect(notes).toMatch(/standard input:12, "wire_feed_speed.*wide/);
    expect(notes).toMatch(/standard input:13, "sound_bead".*perhaps/);
    expect(JSON.parse((await shell.run("check", "rings", "--json")).out).counts.logged).toBe(0);
  });

  test("with --accept-good takes the good rows and lists the rest", async () => {
    const shell = await madeStudy();
    const { status, out } = await shell.pipe(bad, "import", "rings", "-", "--accept-good");
    expect(status).toBe(0);
    expect(out).toMatch(/10 coupons logged/);
    expect(out).toMatch(/2 faults, these rows were left out/);
  });

  test("check refuses a feed typed in in/min but labelled mm/min, and names in/min", async () => {
    const shell = commandLine();
    const slipped = results()
      .split("\n")
      .map((line, i) => {
        const cells = line.split(",");
        if (i === 0) return line.replace("[m/min]", "[mm/min]");
        if (cells.length > 3) cells[3] = ((Number(cells[3]) * 1000) / 25.4).toFixed(1);
        return cells.join(",");
      })
      .join("\n");
    writeFileSync(join(shell.folder, "slipped.csv"), slipped);
    await shell.run("new", "rings", "--from", "slipped.csv", ...start);
    await shell.run("import", "rings", "slipped.csv");
    const { status, out } = await shell.run("check", "rings");
    expect(status).toBe(1);
    expect(out.replaceAll(/\s+/g, " ")).toContain(
      "wire_feed_speed is stated in mm/min but looks like in/min",
    );
  });
});
