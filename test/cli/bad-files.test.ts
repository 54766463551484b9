import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const put = (name: string, content: string | Buffer): void =>
  writeFileSync(join(shell.folder, name), content);

describe("a file in another encoding", () => {
  const table = "date,Größe [mm]\n1,6\n2,6.1\n3,5.9\n4,6\n5,6.1\n6,5.9\n";
  test.each([
    ["UTF-16", Buffer.from(`\ufeff${table}`, "utf16le")],
    ["Windows-1252", Buffer.from(table, "latin1")],
  ])("%s is read as what it says, as a table", async (_, bytes) => {
    put("t.csv", bytes);
    const { status, notes } = await shell.run("control", "t.csv", "--column", "Größe");
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

test.each(["null", "7", "[]", '{"schedule": null}'])("%s is no layer schedule", async (text) => {
  createDemoStudy(join(shell.folder, `of${text.length}`), () => false);
  put("s.json", text);
  const { status, notes } = await shell.run("forecast", `of${text.length}`, "--schedule", "s.json");
  expect(status).toBe(1);
  expect(notes).toMatch(/s\.json is no layer schedule/);
});
