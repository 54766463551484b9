import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { inheritedUses } from "../support/inherited.js";
import { commandLine } from "./run.js";

const study = (responses: readonly object[]) => ({
  schema: "beadbench/study/1",
  name: "odd names, invented",
  process: "141",
  wire: { classification: "ER308L", diameter: "1.2 mm" },
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
  ],
  responses,
});
const settings = (i: number): string => `${100 + 10 * i},${120 + 17 * ((i * 5) % 11)}`;
const rows = (cell: (i: number) => string, title: string): string =>
  [
    `current [A],travel_speed [mm/min],bead_width [mm],${title}`,
    ...Array.from({ length: 10 }, (_, i) => `${settings(i)},${5 + 0.2 * i + 0.1 * ((i * i) % 3)},${cell(i)}`),
  ].join("\n");

/** One study that uses words of its own wherever a study may have some. */
const wordy = {
  ...study([
    { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 } },
    { name: "constructor", unit: "mm", spec: { lower: 1, upper: 3 } },
    { name: "word_ok", kind: "passFail" },
    { name: "word_grade", kind: "grade", spec: { lower: 2 } },
  ]),
  rig: { settings: { word_setting: "3 mm" } },
  blocks: ["word_block"],
};
wordy.factors.push({ name: "word_kind", kind: "category", levels: ["__proto__", "toString"] } as never);
const wordyRows = [
  "coupon,current [A],travel_speed [mm/min],word_kind,word_block,bead_width [mm],constructor [mm],word_ok,word_grade,word_context [mm],word_remark",
  ...Array.from({ length: 10 }, (_, i) => {
    const kinds = [i % 2 === 0 ? "__proto__" : "toString", `valueOf${i % 2}`];
    const sizes = [5 + 0.2 * i + 0.1 * ((i * i) % 3), i === 4 ? "" : 1 + 0.2 * i];
    return [
      `word_c${i}`,
      settings(i),
      ...kinds,
      ...sizes,
      i > 3 ? "yes" : "no",
      1 + (i % 3),
      i,
      "word",
    ].join();
  }),
].join("\n");
const wordyTable = [
  "__proto__,word_y,constructor",
  ...[1, 2, 3, 4, 5, 6, 7, 8].map((i) => `${i},${i * i},p`),
];

describe("words that every object answers to", { timeout: 120_000 }, () => {
  test("are looked up nowhere but among what a user wrote, by any command", async () => {
    const shell = commandLine();
    const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);
    put("d.json", JSON.stringify(wordy));
    const { factors } = wordy;
    const later = { name: "word_later", unit: "mm", low: 1, high: 2 };
    put("later.json", JSON.stringify({ ...wordy, factors: [...factors, later] }));
    put("r.csv", wordyRows);
    put("table.csv", wordyTable.join("\n"));
    const good = async (...words: string[]) => {
      const found = await shell.run(...words);
      expect(found.status, `${words.join(" ")}: ${found.notes}`).toBe(0);
      return found.out;
    };
    const work = async (): Promise<void> => {
      await good("new", "s", "--from", "d.json");
      // Before any result, and with coupons planned that have none.
      await good("plan", "s", "--coupons", "2");
      await good("next", "s", "--coupons", "1", "--like", "150 A, word_kind=toString, word_ok yes");
      await good("evaluate", "s");
      await good("sheet", "s");
      await good("export", "s");
      await good("import", "s", "r.csv");
      await good("log", "s", "word_c4", "constructor=1.8mm");
      await good("log", "s", "word_c5", "word_block=constructor", "--correct", "--why", "constructor");
      await good("incident", "s", "constructor", "--cause", "__proto__", "--coupon", "word_c1");
      await good("log", "s", "--change", "constructor");
      for (const command of ["incidents", "status", "fit", "physics"]) await good(command, "s");
      await good("preset", "s", "--json", "p.json");
      await good("confirm", "s", "--preset", "p.json");
      await good("compare", "s", "word_block=valueOf0,valueOf1");
      await good(
        "forecast",
        "s",
        "--preset",
        "p.json",
        "--length",
        "120 mm",
        "--layers",
        "40",
        "wire_feed_speed=1 m/min",
      );
      await good("build", "s", "__proto__", "--start");
      await good("build", "s", "__proto__", "--layer", "3");
      await good("incidents", "s", "--json");
      await good("report", "s", "--html", "p.html");
      await good("control", "table.csv", "--column", "word_y");
      await good("curve", "table.csv", "--response", "word_y", "--formula", "a + b * __proto__");
      put("s/study.json", readFileSync(join(shell.folder, "later.json"), "utf8"));
      for (const command of ["status", "fit", "export", "physics"]) await good(command, "s");
      put("s/study.json", JSON.stringify(wordy));
    };
    const words = "ok grade setting block kind context remark later c1 c2 c3 c4 c5".split(" ");
    expect(
      await inheritedUses([...words.map((word) => `word_${word}`), "valueOf0", "valueOf1"], work),
    ).toEqual([]);
    expect(readFileSync(join(shell.folder, "p.html"), "utf8")).not.toContain("native code");
    const csv = await good("export", "s");
    expect(csv).not.toContain("native code");
    expect(csv.split("\n")[0]).toContain("constructor [mm]");
    expect(csv).toMatch(/^word_c6,.*,valueOf0,.*,__proto__,/m);
    expect(csv).toMatch(/^word_c5,.*,constructor,.*,toString,/m);
  });

  test.each(["__proto__", "toString"])("%s is refused in plain words", async (name) => {
    const shell = commandLine();
    const text = JSON.stringify(study([{ name: "NAME", kind: "passFail" }])).replace("NAME", name);
    writeFileSync(join(shell.folder, "d.json"), text);
    const found = await shell.run("new", "s", "--from", "d.json");
    expect(found.status).toBe(1);
    expect(found.notes).toMatch(/responses\[0\]\.name.*snake_case/);
  });
});

describe("a graded response", { timeout: 60_000 }, () => {
  const bead = { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 } };
  const run = async (looks: object, ...words: string[]) => {
    const shell = commandLine();
    writeFileSync(
      join(shell.folder, "d.json"),
      JSON.stringify(study([bead, { name: "looks", kind: "grade", ...looks }])),
    );
    await shell.run("new", "s", "--from", "d.json");
    writeFileSync(
      join(shell.folder, "r.csv"),
      rows((i) => `${1 + ((i * 7) % 4)}`, "looks"),
    );
    const read = await shell.run("import", "s", "r.csv");
    expect(read.status, read.notes).toBe(0);
    return shell.run(...words);
  };

  test("with limits is a check of the window", async () => {
    const { out } = await run({ spec: { lower: 3 } }, "window", "s", "--detail");
    expect(out).toMatch(/of which bead_width \d+ %, looks \d+ %/);
    expect(out).not.toContain("any value counts as conforming");
  });

  test("without limits takes no part in the window, and the window says so", async () => {
    const { out } = await run({}, "window", "s", "--detail");
    expect(out).not.toMatch(/of which .*looks/);
    expect(out).toMatch(/does not say which looks is good, so any value counts as conforming/);
  });

  test("is fitted with the chance of each grade", async () => {
    const { out } = await run({}, "fit", "s", "--detail");
    expect(out).toMatch(/looks \(grade, more is better\), 10 coupons: 3 x 1, 2 x 2, 2 x 3, 3 x 4/);
    expect(out).toMatch(/in the middle +\d+ % +\d+ % +\d+ % +\d+ %/);
    expect(out).toMatch(/current 190 A +\d+ %/);
  });
});
