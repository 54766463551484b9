import { execFileSync } from "node:child_process";
import { cpSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, test } from "vitest";
import { parseAssignments } from "../../lib/cli/assignments.js";
import { pointsForCommas } from "../../lib/cli/commas.js";
import { asTyped } from "../../lib/errors/index.js";
import { parseStudyDefinition, type StudyDefinition } from "../../lib/index.js";
import { fc } from "../support/properties.js";
import { commandLine } from "./run.js";

const file = resolve("data-demo/study.json");
const definition: StudyDefinition = parseStudyDefinition(JSON.parse(readFileSync(file, "utf8")), file);
const read = (...items: string[]) => parseAssignments(definition, items);

describe("names cut short", () => {
  test.each([
    ["width=5.9", "bead_width", 5.9, "mm"],
    ["cur=150", "current", 150, "A"],
    ["wfs=900", "wire_feed_speed", 900, "mm/min"],
    ["ts=120", "travel_speed", 120, "mm/min"],
    ["TRAVEL=5in/min", "travel_speed", 5, "in/min"],
    ["stand-off=3", "standoff", 3, "mm"],
    ["h=2.2", "bead_height", 2.2, "mm"],
  ])("%s means %s in the study's unit", (item, name, value, unit) => {
    const found = read(item);
    expect(found.values).toEqual({ [name]: value });
    expect(found.units).toEqual({ [name]: unit });
  });

  test("a verdict by itself is a yes, and day is the block", () => {
    expect(read("sound", "smooth=no", "day=7").values).toEqual({
      sound_bead: true,
      smooth_feed: false,
      day: "7",
    });
  });

  test.each([
    ["bead=6", /may mean bead_width or bead_height; write more of the name/],
    ["wi=6", /may mean wire_feed_speed or bead_width/],
    ["sound=3.1", /write yes or no/],
    ["heigth=2.2", /no column of this study, did you mean bead_height\?/],
    ["width", /write it as name=value/],
    ["width=5/64", /is a fraction, which is read in inches, where bare numbers are in mm/],
  ])("%s is refused", (item, message) => {
    expect(() => read(item)).toThrow(message);
  });

  test("one column named twice is refused, by whatever names", () => {
    expect(() => read("width=5.9", "bead_width=6")).toThrow(/bead_width stands twice, also in "width=5.9"/);
  });

  test("words that could not hold the value stay columns of their own", () => {
    const wide = parseStudyDefinition({
      ...definition,
      factors: [...definition.factors, { name: "gas_flow", unit: "L/min", low: 5, high: 20 }],
    });
    expect(parseAssignments(wide, ["gas=argon"]).values).toEqual({ gas: "argon" });
    expect(parseAssignments(wide, ["gas=11"]).values).toEqual({ gas_flow: 11 });
  });

  test("a whole name means itself, whatever other names begin with it", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...definition.factors),
        fc.integer({ min: 1, max: 500 }),
        ({ name }, value) => {
          expect(read(`${name}=${value}`).values).toEqual({ [name]: value });
        },
      ),
    );
  });
});

describe("commas", () => {
  test.each([
    ["width=5.9,6.1", [5.9, 6.1]],
    ["width=5.9, 6.1,6 mm", [5.9, 6.1, 6]],
    ["width=5,9 6,1", [5.9, 6.1]],
    ["width=5,9;6,1", [5.9, 6.1]],
    ["width=5, 6, 7", [5, 6, 7]],
  ])("%s", (item, readings) => {
    expect(read(item).readings).toEqual({ bead_width: readings });
  });

  test("one comma is a decimal comma", () => {
    expect(read("width=5,9mm").values).toEqual({ bead_width: 5.9 });
  });

  test.each(["width=5,9,6,1", "width=1,250", "width=1,9,2.1", "width=1,250.5 mm"])(
    "%s is refused",
    (item) => {
      expect(() => read(item)).toThrow(/comma/);
    },
  );

  test("what either country writes with its own mark is read the same, or refused", () => {
    const readings = fc.array(fc.integer({ min: 1, max: 999 }), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(readings, (tenths) => {
        const points = tenths.map((n) => (n / 10).toFixed(1));
        const plain = (text: string) => pointsForCommas(text, (read) => read.split(/[\s;]+/).map(Number));
        const wanted = tenths.map((n) => n / 10);
        expect(plain(points.join(","))).toEqual(wanted);
        expect(plain(points.join(" ").replaceAll(".", ","))).toEqual(wanted);
        expect(plain(points.join(";").replaceAll(".", ","))).toEqual(wanted);
      }),
    );
  });
});

const withStudy = async () => {
  const made = commandLine();
  expect((await made.run("new", "rings", "--from", file)).status).toBe(0);
  const plan = ["--coupons", "8", "--design", "sobol"];
  expect((await made.run("plan", "rings", ...plan)).status).toBe(0);
  return { ...made, here: commandLine(join(made.folder, "rings")) };
};

describe("log in one short line", () => {
  test("a planned coupon, three readings, under 50 characters", async () => {
    const made = await withStudy();
    const line = "beadbench log 3 width=5.9,6.1,6 sound";
    expect(line.length).toBeLessThan(50);
    const { status, out } = await made.run("log", "rings", ...line.split(" ").slice(2));
    expect(status).toBe(0);
    expect(out).toMatch(/^logged as entry 9: C003 {2}.*sound_bead yes.*bead_width 5.9, 6.1, 6 mm/);
  });

  test("values or a remark without their coupon are refused, and nothing is logged", async () => {
    const { here } = await withStudy();
    for (const words of [["width=5.9"], ["width=5.9", "sound"], ["width=5.9", "--note", "calm"]]) {
      const { status, notes } = await here.run("log", ...words);
      expect([status, notes]).toEqual([
        1,
        expect.stringContaining('name the coupon before its values, got "width=5.9"'),
      ]);
    }
    expect((await here.run("status")).out).toContain("0 coupons logged, 8 planned");
  });

  test("a bare number in a correction is in the unit that was logged", async () => {
    const made = await withStudy();
    await made.run("log", "rings", "c1", "wfs=35in/min");
    const { status, out } = await made.run("log", "rings", "1", "--correct", "wfs=33", "--why", "misread");
    expect(status).toBe(0);
    expect(out).toContain("wire_feed_speed 33 in/min");
    const journal = readFileSync(join(made.folder, "rings", "journal.jsonl"), "utf8");
    expect(journal.trim().split("\n").at(-1)).toContain('"wire_feed_speed":"in/min"');
  });
});

describe("the day of a coupon logged now", () => {
  const dayOf = (out: string) => /day (\S+?);/.exec(out)?.[1];

  test("is today's date, unless it is given", async () => {
    const { here } = await withStudy();
    expect(dayOf((await here.run("log", "1", "width=5.9", "height=2.2")).out)).toBe("2026-04-01");
    expect(dayOf((await here.run("log", "2", "day=5", "width=5.9", "height=2.2")).out)).toBe("5");
  });

  test("is the name the day has, where the study names its days, and nothing where that is not told", async () => {
    const { here } = await withStudy();
    await here.run("log", "1", "day=5", "width=5.9");
    expect(dayOf((await here.run("log", "2", "width=5.9", "height=2.2")).out)).toBe("5");
    await here.run("log", "3", "day=6", "width=5.9");
    expect(dayOf((await here.run("log", "4", "width=5.9", "height=2.2")).out)).toBeUndefined();
  });
});

describe("the study one stands in", () => {
  test("is taken where none is named, whatever options stand before", async () => {
    const { here, run } = await withStudy();
    const elsewhere = await run("status", "rings", "--json");
    expect((await here.run("status", "--json")).out).toBe(elsewhere.out.replaceAll(" rings", ""));
    expect((await here.run("log", "--note", "rings", "4", "width=5.9")).out).toContain("C004  ");
    expect((await here.run("incident", "wire stuck")).status).toBe(0);
    expect((await here.run("export", "--format", "json")).status).toBe(0);
  });

  test("a study named goes before it, and a name too many is refused", async () => {
    const { here, run } = await withStudy();
    await run("new", "rings/inner", "--from", file);
    expect((await here.run("status", "inner")).out).toContain("0 coupons logged, 0 planned");
    const { status, notes } = await here.run("check", "outer");
    expect(status).toBe(1);
    expect(notes).toMatch(/there is no study in .*outer.*check the name, or start one with `beadbench new`/);
  });

  test("where there is none the refusal says how to start one, and beadbench alone too", async () => {
    const shell = commandLine();
    const { status, notes } = await shell.run("fit");
    expect(status).toBe(1);
    expect(notes).toMatch(/name the study, as in `beadbench fit my-study`.*`beadbench new` starts one/);
    const alone = await shell.run();
    expect(alone.status).toBe(0);
    expect(alone.out).toContain("beadbench demo");
  });
});

describe("the study in a command of an advice", () => {
  test("is named as it was typed, and left out where it was", async () => {
    const { run, folder } = await withStudy();
    const odd = ["log", "1", "width=62", "height=2.2", "sound"];
    expect((await run("log", "rings", ...odd.slice(1))).notes).toContain(
      "beadbench log rings C001 --correct",
    );
    cpSync(join(folder, "rings"), join(folder, "my rings"), { recursive: true });
    const spaced = await run("log", "my rings", "2", ...odd.slice(2));
    expect(spaced.notes).toContain('beadbench log "my rings" C002 --correct');
    const { here } = await withStudy();
    expect((await here.run(...odd)).notes).toContain("beadbench log C001 --correct");
    expect((await here.run("log", ".", "2", ...odd.slice(2))).notes).toContain(
      "beadbench log C002 --correct",
    );
  });

  test.each([
    ["rings", "x: beadbench log rings C1 --correct"],
    [".", "x: beadbench log C1 --correct"],
    ["$HOME", 'x: beadbench log "$HOME" C1 --correct'],
    [undefined, "x: beadbench log <study> C1 --correct"],
  ])("of %s", (study, wanted) => {
    expect(asTyped("x: beadbench log <study> C1 --correct", study)).toBe(wanted);
    expect(asTyped("the mark <study> in a note", study)).toBe("the mark <study> in a note");
  });
});

describe("beadbench alone", () => {
  test("names the next coupon, and the line that logs it does", async () => {
    const { here } = await withStudy();
    const { out } = await here.run();
    expect(out).toMatch(/0 coupons logged, 8 planned/);
    expect(out).toMatch(/bead_width 5\.4 to 6\.6 mm/);
    expect(out).toMatch(/Run C001 \(first of 8\): current \d+ A/);
    const line = out.split("\n").find((text) => text.includes("beadbench log"))!;
    expect(line.trim()).toBe("beadbench log C001 width=__ height=__ smooth sound");
    const { status } = await here.run(...line.trim().replaceAll("__", "5.9,6.1").split(" ").slice(1));
    expect(status).toBe(0);
    expect((await here.run()).out).toContain("Run C002 (first of 7)");
  });
});

describe("completion", () => {
  const complete = async (...words: string[]) => {
    const { here } = await withStudy();
    const { status, out } = await here.run("completion", "bash", "--", ...words);
    expect(status).toBe(0);
    return out.split("\n").slice(0, -1);
  };

  test.each([
    [["pre"], ["preset", "preset-schema"]],
    [
      ["log", "C00"],
      ["C001", "C002", "C003", "C004", "C005", "C006", "C007", "C008"],
    ],
    [
      ["log", "C001", "bead_"],
      ["bead_width=", "bead_height="],
    ],
    [["plan", "--ord"], ["--order"]],
    [["plan", "--order", "d"], ["drift-robust"]],
    [["nonsense", "x"], []],
  ])("of %j is %j", async (words, wanted) => {
    expect(await complete(...words)).toEqual(wanted);
  });

  test("bash takes the script and completes by it", async () => {
    const { here } = await withStudy();
    const { out } = await here.run("completion", "bash");
    const probe = `beadbench() { printf '%s\\n' "$@"; }\n${out}\nCOMP_WORDS=(beadbench log C0); COMP_CWORD=2; _beadbench 2>/dev/null; printf '%s,' "\${COMPREPLY[@]}"`;
    expect(execFileSync("bash", ["-c", probe], { encoding: "utf8" })).toBe("completion,bash,--,log,C0,");
  });
});
