import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/index.js";
import { createDemoStudy } from "../../lib/study/index.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

const shell = commandLine();
const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);

/** Daily readings of a wire feeder that slips by 4 % after the liner was changed. */
function feeder(): string {
  const noise = randomStream(3);
  const rows = Array.from({ length: 24 }, (_, i) => {
    const speed = (i < 14 ? 20 : 19.2) + 0.15 * noise.normal();
    return `2026-02-${String(i + 1).padStart(2, "0")},${speed.toFixed(2)},${i === 14 ? "liner" : ""}`;
  });
  return `date,feed [mm/s],change\n${rows.join("\n")}\n`;
}

beforeAll(() => {
  createDemoStudy(join(shell.folder, "rings"));
  put("feeder.csv", feeder());
  put("two.csv", "date,feed [mm/s],volts [V]\n1,20,12\n2,20.1,12.1\n3,20,12\n4,20.2,12.2\n");
});

describe("control", () => {
  test("finds what changed with the liner in a column of a file, and draws it", async () => {
    const { status, out, notes } = await shell.run("control", "feeder.csv", "--svg", "drift.svg");
    expect(status, notes).toBe(0);
    expect(out).toMatch(/lower since 2026-02-1[4-6]; logged near it: liner/);
    expect(out).toMatch(/a steady rig signals in \d+ % of records this long, or more often/);
    const svg = readFileSync(join(shell.folder, "drift.svg"), "utf8");
    expect(svg).toMatch(/aria-label="Control charts of feed over 24 readings: Shifted down by about/);
    expect(svg).toContain(">liner<");
  });

  test("takes centre and scatter that are known, in any unit of their kind", async () => {
    const ask = async (...more: readonly string[]) =>
      JSON.parse((await shell.run("control", "feeder.csv", "--json", ...more)).out);
    const given = await ask("--centre", "1.2 m/min", "--sd", "0.15 mm/s");
    expectDigits(given.centre, 20, 12);
    expect(given).toMatchObject({ sd: 0.15, baseline: 0, widening: 1 });
    expectDigits(given.lower, 20 - 0.45, 11);
    expect((await ask("--baseline", "10")).baseline).toBe(10);
  });

  test("takes the control coupons of a study", async () => {
    const { out } = await shell.run("control", "rings", "--response", "bead_height");
    expect(out).toMatch(/bead_height: 8 readings of control coupons \(current 135, travel_speed 120/);
    expect(out).toContain("after change: gas_cylinder");
    expect(out).toMatch(/no drift shows, which is no proof of a steady rig/);
  });

  test.each([
    [["two.csv"], /say which column of two\.csv to look at: --column feed or volts/],
    [["two.csv", "--column", "fed"], /two\.csv has no column "fed"; did you mean "feed"\?/],
    [["two.csv", "--column", "feed", "--sd", "0.1 A"], /"0\.1 A" is a current|is an? (electric )?current/],
    [["two.csv", "--column", "feed", "--baseline", "9"], /baseline must be .*at most 4, got 9/],
    [["rings", "--response", "bead_widht"], /did you mean "bead_width"\?/],
    [["rings", "--column", "feed"], /--column is for a CSV file; rings is a study: use --response/],
    [["nowhere"], /cannot read nowhere/],
  ])("refuses %j and says how to mend it", async (args, told) => {
    const { status, out, notes } = await shell.run("control", ...args);
    expect(status).toBe(1);
    expect(out).toBe("");
    expect(notes).toMatch(told);
  });
});

describe("gauge", () => {
  const stream = randomStream(8);
  const rows = Array.from({ length: 30 }, (_, i) => {
    const part = 1 + (i % 10);
    return `${part},${(5 + 0.2 * part + 0.04 * stream.normal()).toFixed(3)}`;
  });

  test("prints a line that study.json takes as it is", async () => {
    const { status, out, notes } = await shell.pipe(`part,reading [mm]\n${rows.join("\n")}\n`, "gauge", "-");
    expect(status, notes).toBe(0);
    const [, line] = /\n {2}("gaugeSd": [\d.]+)\n/.exec(out)!;
    const path = join(shell.folder, "rings", "study.json");
    const before = readFileSync(path, "utf8");
    const pasted = before.replace('"name": "bead_width",', `"name": "bead_width", ${line},`);
    expect(pasted).not.toBe(before);
    put("pasted.json", pasted);
    const made = await shell.run("new", "pasted", "--from", "pasted.json");
    expect(made.status, made.notes).toBe(0);
    const gaugeSd = Number(line!.split(" ")[1]);
    expect(Math.abs(gaugeSd - 0.04)).toBeLessThan(0.015);
  });

  test("works in the unit of the response when asked to", async () => {
    const csv = `part,reading [mm]\n${rows.join("\n")}\n`;
    const inMm = JSON.parse((await shell.pipe(csv, "gauge", "-", "--json")).out);
    const inMicrons = JSON.parse((await shell.pipe(csv, "gauge", "-", "--unit", "um", "--json")).out);
    expectDigits(inMicrons.gaugeSd, 1000 * inMm.gaugeSd, 10);
  });

  test.each([
    ["part,reading\n1,5\n2,6\n", /readings need their unit: write the heading as reading \[mm\]/],
    ["part,reading [mm]\n1,5\n1,5.1\n", /at least 2 parts/],
    ["part,reading [mm]\n1,5\n2,5.1\n", /every part was read once/],
    ["part,operator,reading [mm]\n1,A,5\n1,A,5.1\n2,,5.2\n2,A,5.3\n", /1 of 4 readings name no operator/],
    ["part,operator,reading [mm]\n1,A,5\n1,A,5.1\n2,A,5.2\n2,B,5.3\n", /needs the same readings everywhere/],
    ["part,reading [mm]\n1,five\n1,5.1\n", /-:2, "reading": .*got "five"/],
  ])("refuses %j and says how to mend it", async (csv, told) => {
    const { status, out, notes } = await shell.pipe(csv, "gauge", "-");
    expect(status).toBe(1);
    expect(out).toBe("");
    expect(notes).toMatch(told);
  });
});
