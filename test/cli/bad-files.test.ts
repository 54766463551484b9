import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { canonicalJson, sealEntries } from "../../lib/study/journal/index.js";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const put = (name: string, content: string | Buffer): void =>
  writeFileSync(join(shell.folder, name), content);

describe("a file in another encoding", () => {
  const table = "date,größe [mm]\n1,6\n2,6.1\n3,5.9\n4,6\n5,6.1\n6,5.9\n";
  test.each([
    ["UTF-16", Buffer.from(`\ufeff${table}`, "utf16le")],
    ["Windows-1252", Buffer.from(table, "latin1")],
  ])("%s is read as what it says, as a table", async (_, bytes) => {
    put("t.csv", bytes);
    const { status, notes } = await shell.run("control", "t.csv", "--column", "größe");
    expect([status, notes]).toEqual([0, ""]);
  });

  test("UTF-16 is read as what it says, as JSON", async () => {
    put("d.json", Buffer.from(`\ufeff${JSON.stringify(tigDefinition())}`, "utf16le"));
    expect(await shell.run("new", "wide", "--from", "d.json")).toMatchObject({ status: 0, notes: "" });
  });
});

test("faults of a study.json are told with their lines, whoever reads it", async () => {
  const text = JSON.stringify(
    { ...tigDefinition(), wire: { classification: 7, diameter: "1.2 mm" } },
    null,
    2,
  );
  const line = text.split("\n").findIndex((one) => one.includes("classification")) + 1;
  put("d.json", text);
  expect((await shell.run("new", "s", "--from", "d.json")).notes).toContain(
    `d.json:${line}, "wire.classification": must be a text, got "7"`,
  );
  createDemoStudy(join(shell.folder, "edited"), () => false);
  put("edited/study.json", text);
  expect((await shell.run("status", "edited")).notes).toContain(`study.json:${line}, "wire.classification"`);
});

test.each([
  ["nowhere.json", "there is no such file; check its name and folder"],
  [".", "it is a folder; name a file"],
  ["x".repeat(300), "no file has so long a name"],
])("why %s cannot be read is told in plain words", async (name, why) => {
  expect((await shell.run("open", name, "opened")).notes).toContain(`cannot read ${name}: ${why}`);
});

test("JSON that is printed obeys no terminal either, and says the same", async () => {
  const name = "C1 \u009b2J\u007f \u202Egnp";
  createDemoStudy(join(shell.folder, "odd"), () => false);
  const { out } = await shell.run("log", "odd", "--note", name, "--json");
  expect(out).not.toMatch(/[\u007f-\u009f\u202e]/);
  expect(out).toContain("\\u009b2J");
  expect(JSON.stringify(JSON.parse(out))).toContain(name);
});

test("a journal in which a number stands twice ends no command in a fault of the program", async () => {
  createDemoStudy(join(shell.folder, "twice"), () => false);
  await shell.run(
    "log",
    "twice",
    "T1",
    "current=140A",
    "travel_speed=120mm/min",
    "wire_feed_speed=1m/min",
    "standoff=3mm",
    "bead_width=6mm",
  );
  await shell.run("log", "twice", "T1", "bead_width=6.1mm", "--correct", "--why", "misread");
  const path = join(shell.folder, "twice", "journal.jsonl");
  const [logged, corrected] = readFileSync(path, "utf8")
    .trimEnd()
    .split("\n")
    .map((line) => JSON.parse(line));
  const note = { kind: "note", text: "again" } as const;
  const [again] = sealEntries(
    [note],
    { seq: logged.seq - 1, hash: corrected.hash },
    { time: corrected.time },
  );
  writeFileSync(path, [logged, corrected, again].map((entry) => `${canonicalJson(entry)}\n`).join(""));
  for (const line of [
    ["check", "twice"],
    ["export", "twice"],
    ["log", "twice", "T2", "current=150A"],
  ]) {
    const { notes: told } = await shell.run(...line);
    expect(told).not.toMatch(/internal error/);
  }
});

test.each(["null", "7", "[]", '{"schedule": null}'])("%s is no layer schedule", async (text) => {
  createDemoStudy(join(shell.folder, `of${text.length}`), () => false);
  put("s.json", text);
  const { status, notes } = await shell.run("forecast", `of${text.length}`, "--schedule", "s.json");
  expect(status).toBe(1);
  expect(notes).toMatch(/s\.json is no layer schedule/);
});

describe("a factor that study.json gained later", { timeout: 60_000 }, () => {
  test("is unknown of the coupons before it: commands that need it leave them out and say so", async () => {
    const before = tigDefinition({
      responses: [{ name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 } }],
    });
    put("d.json", JSON.stringify(before));
    await shell.run("new", "grown", "--from", "d.json");
    const rows = [0, 1, 2, 3, 4].map(
      (i) => `K${i},${110 + 20 * i},${120 + ((i * 70) % 160)},1,${5.2 + 0.3 * i}`,
    );
    put(
      "r.csv",
      ["coupon,current [A],travel_speed [mm/min],wire_feed_speed [m/min],bead_width [mm]", ...rows].join(
        "\n",
      ),
    );
    await shell.run("import", "grown", "r.csv");
    const later = { name: "later", unit: "mm", low: 1, high: 2 };
    put("grown/study.json", JSON.stringify({ ...before, factors: [...before.factors, later] }));
    for (const line of [
      ["check"],
      ["window"],
      ["preset", "--unproven"],
      ["report", "--html", "p.html"],
      ["next", "--coupons", "1"],
    ]) {
      const { status, out, notes } = await shell.run(line[0]!, "grown", ...line.slice(1));
      expect([line, status, notes.match(/internal|undefined/)]).toEqual([line, 0, null]);
      expect(out + notes).toMatch(/5 coupons have no setting of later/);
    }
    expect((await shell.run("window", "grown")).out).toMatch(
      /5 coupons without a usable setting of later are left out: K0, /,
    );
  });
});
