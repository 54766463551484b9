import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { openStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

const definition = {
  schema: "beadbench/study/1",
  name: "traced",
  process: "141",
  wire: { classification: "ER308L", diameter: "1.0 mm" },
  factors: [
    { name: "current", unit: "A", low: 100, high: 180 },
    { name: "travel_speed", unit: "mm/min", low: 120, high: 240 },
    { name: "wire_feed_speed", unit: "m/min", low: 0.8, high: 1.6 },
  ],
  responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
};

/** A session: one run of arc a coupon, 6 s long and 4 s apart, at these currents. */
function session(currents: readonly number[]): string {
  const rows: string[] = [];
  for (let k = 0; k < (1 + currents.length * 10) * 500; k += 1) {
    const t = k / 500;
    const run = Math.floor((t - 1) / 10);
    const on = t >= 1 && run < currents.length && (t - 1) % 10 < 6;
    rows.push(on ? `${t},${currents[run]! + (k % 3) - 1},12,20` : `${t},0,0,0`);
  }
  return `time [s],current [A],voltage [V],feed [mm/s]\n${rows.join("\n")}\n`;
}

describe("trace", () => {
  const shell = commandLine();
  const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);
  const contextOf = (id: string): Readonly<Record<string, { readonly value: number }>> =>
    openStudy(join(shell.folder, "traced")).coupons.find((coupon) => coupon.id === id)!.context;

  beforeAll(async () => {
    put("draft.json", JSON.stringify(definition));
    expect((await shell.run("new", "traced", "--from", "draft.json")).notes).not.toMatch(/rror/);
    for (const [id, current] of [
      ["C1", 120],
      ["C2", 140],
      ["C3", 160],
    ] as const)
      await shell.run(
        "log",
        "traced",
        id,
        `current=${current}A`,
        "travel_speed=180 mm/min",
        "wire_feed_speed=1.2 m/min",
      );
    put("day.csv", session([120, 158, 160]));
  }, 60_000);

  test("tells each coupon by the order they ran, what was set against what ran, and writes nothing", async () => {
    const before = readFileSync(join(shell.folder, "traced", "journal.jsonl"), "utf8");
    const { status, out } = await shell.run("trace", "traced", "day.csv");
    expect(status).toBe(0);
    expect(out).toMatch(/C1 +1\.00 +7\.00 +6\.00 +120\.\d +12\.00 +1440 +8\.6\d+ +480\.\d/);
    expect(out).toMatch(/C2 +current \[A\] +140\.0 +158\.0 +10 +OTHERWISE/);
    expect(out).toMatch(/C1 +wire_feed_speed \[m\/min\] +1\.200 +1\.200 +0\.084 +as set/);
    expect(out).toContain(
      "C2 ran otherwise than set: current 158 A where 140 A was set (12.9 %), 10 allowed",
    );
    expect(out).toContain('beadbench log traced C2 --correct current="158 A" --why "traced"');
    expect(out).toContain("Nothing was written");
    expect(readFileSync(join(shell.folder, "traced", "journal.jsonl"), "utf8")).toBe(before);
  });

  test("writes it to the coupons with --log, once, and check finds the one run at another setting", async () => {
    const { out } = await shell.run("trace", "traced", "day.csv", "--coupons", "1,2,3", "--log");
    expect(out).toMatch(/Logged to C1, C2, C3 \(3 entries\)/);
    expect(contextOf("C1").traced_power!.value).toBeCloseTo(1440, 0);
    expect(contextOf("C2").traced_arc_energy!.value).toBeCloseTo((158 * 12) / 3, 0);
    expect(contextOf("C3").traced_ignitions!.value).toBe(1);
    expect((await shell.run("trace", "traced", "day.csv", "--coupons", "1,2,3", "--log")).out).toContain(
      "All of it was on record already",
    );
    const { out: checked } = await shell.run("check", "traced", "--json");
    const found = (JSON.parse(checked) as { findings: { code: string; about?: string[] }[] }).findings.filter(
      ({ code }) => code === "ran-at-another-setting",
    );
    expect(found.map(({ about }) => about![0])).toEqual(["C2"]);
    put("again.csv", session([121, 158, 160]));
    expect((await shell.run("trace", "traced", "again.csv", "--coupons", "C1,C2,C3", "--log")).status).toBe(
      0,
    );
    expect(contextOf("C1").traced_current!.value).toBeCloseTo(121, 0);
  });

  test("refuses to guess which run is whose, and says how to mend it", async () => {
    const { status, notes } = await shell.run("trace", "traced", "day.csv", "--coupons", "C1,C2");
    expect(status).toBe(1);
    expect(notes).toMatch(/3 runs of arc for 2 coupons \(C1, C2\).*\n +1: 1\.0 to 7\.0 s, 120 A/);
    expect(notes).toMatch(/--marks.*--threshold couponGap=/);
    put("two.csv", session([120, 140]));
    const { out: looked } = await shell.run("trace", "traced", "two.csv");
    expect(looked.replace(/\s+/g, " ")).toMatch(/two\.csv has 2 runs of arc for 3 coupons|run +from s/);
    expect((await shell.run("trace", "traced", "two.csv", "--log")).status).toBe(1);
    expect((await shell.run("trace", "traced", "day.csv", "--coupons", "C1,C2,C2")).notes).toContain(
      "C2 is named twice",
    );
    expect((await shell.run("trace", "traced", "day.csv", "--coupons", "C1,C2,C9")).notes).toContain(
      'no coupon "C9"',
    );
  });

  test("goes by time marks", async () => {
    put("marks.csv", "coupon,from [s],to [s]\nC3,20,28\nC1,0,8\n");
    const { out } = await shell.run("trace", "traced", "day.csv", "--marks", "marks.csv", "--json");
    const { stretches } = JSON.parse(out) as { stretches: { coupon: string; current: { mean: number } }[] };
    expect(stretches.map(({ coupon, current }) => [coupon, Math.round(current.mean)])).toEqual([
      ["C1", 120],
      ["C3", 160],
    ]);
  });

  test("needs no study, but the process; takes columns, scales and thresholds as told", async () => {
    expect((await shell.run("trace", "day.csv")).notes).toMatch(/--process 141/);
    put("raw.csv", session([1.2]).replace("current [A]", "CH1"));
    const { out } = await shell.run(
      ...[
        "trace",
        "raw.csv",
        "--process",
        "141",
        "--column",
        "current=CH1",
        "--scale",
        "current=100 A",
        "--length",
        "60 mm",
      ],
      ...["--threshold", "arcOn=12 A", "--threshold", "couponGap=2", "--json"],
    );
    const { stretches, thresholds } = JSON.parse(out) as {
      stretches: { current: { mean: number }; arcEnergy: number; energy: number }[];
      thresholds: object;
    };
    expect(thresholds).toMatchObject({ arcOn: 12, couponGap: 2 });
    expect(stretches[0]!.arcEnergy).toBeCloseTo(stretches[0]!.energy / 60, 9);
    for (const [words, message] of [
      [["--threshold", "arcOm=3"], /there is no threshold "arcOm", did you mean arcOn\?|"arcOm".*arcOn/],
      [["--scale", "curent=3"], /there is no channel "curent".*current/],
      [["--scale", "current=3 mm"], /is a length; a current is wanted here/],
      [["--log"], /--log needs a study/],
    ] as const)
      expect(
        (
          await shell.run(
            "trace",
            "raw.csv",
            "--process",
            "141",
            "--column",
            "current=CH1",
            "--scale",
            "current=100",
            ...words,
          )
        ).notes,
      ).toMatch(message);
  });

  test("says of a file that is cut off where, and keeps what is before", async () => {
    put(
      "cut.csv",
      session([120])
        .slice(0, 40_000)
        .replace(/[^\n]*$/, "4.2,12"),
    );
    const { status, out } = await shell.run("trace", "cut.csv", "--process", "141");
    expect(status).toBe(0);
    expect(out).toMatch(/^PARTIAL: /m);
    expect(out.replace(/\s+/g, " ")).toMatch(
      /cut\.csv:\d+ \(row \d+\): the file ends within a row; the \d+ rows before it were read/,
    );
  });

  test("draws the trace and writes its events", async () => {
    const { status } = await shell.run(
      "trace",
      "traced",
      "day.csv",
      "--coupons",
      "C1,C2,C3",
      "--svg",
      "day.svg",
      "--events",
      "events.csv",
    );
    expect(status).toBe(0);
    const svg = readFileSync(join(shell.folder, "day.svg"), "utf8");
    for (const text of ["Arc trace", "Current (A)", "C2", "ignition"]) expect(svg).toContain(text);
    expect(readFileSync(join(shell.folder, "events.csv"), "utf8")).toMatch(
      /^start \[s\],duration \[s\],event\n1\.000000,0\.000000,ignition\n11\.0/,
    );
  });
});
