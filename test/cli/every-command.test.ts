import { cpSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../lib/cli/commands.js";
import { lumpTemperature, oxygenAfter } from "../../lib/process/index.js";
import { createDemoStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

const nameOf = (usage: string): string => usage.split(" ")[0]!;
const names = commands.map(({ usage }) => nameOf(usage));

/** A CSV file from its header and a function of the row. */
function csv(header: string, rows: number, row: (i: number) => readonly (number | string)[]): string {
  return `${[header, ...Array.from({ length: rows }, (_, i) => row(i).join(","))].join("\n")}\n`;
}

/** Readings of invented instruments, enough for each command to have an answer. */
const files: Readonly<Record<string, string>> = {
  "results.csv": csv("coupon,current [A],travel_speed [mm/min],bead_width [mm]", 6, (i) => [
    `C${i}`,
    120 + 10 * i,
    150 + 20 * (i % 3),
    5 + 0.2 * i,
  ]),
  "more.csv":
    "coupon,current [A],travel_speed [mm/min],wire_feed_speed [m/min],standoff [mm]\nX1,140,170,1.05,3\n",
  "layers.csv": csv("layer,standoff [mm],rise [mm]", 30, (i) => [i + 1, 3 + 0.1 * Math.sin(3 * i), 1.6]),
  "walls.csv": csv("layer,standoff [mm],rise [mm]", 20, (i) => [i + 1, 3 + 0.05 * Math.sin(3 * i), 1.6]),
  "points.csv": csv("x [mm],y [mm]", 21, (i) => [(i - 10) * 0.3, Math.max(0, 2 - ((i - 10) * 0.3) ** 2 / 3)]),
  "profiles.csv": csv("coupon,x [mm],z [mm]", 31, (i) => [
    "C001",
    (i - 15) * 0.4,
    Math.max(0, 2 - ((i - 15) * 0.4) ** 2 / 4.5),
  ]),
  "marks.csv": csv("coupon,mark,x [px],y [px]", 6, (i) => [
    "C001",
    ["scale", "left", "right"][i >> 1]!,
    (i % 2) * 1000,
    [0, 200, 320][i >> 1]!,
  ]),
  "strange.csv": csv("coupon,x [mm],z [mm]", 3, (i) => ["Q1", i, 1]),
  "stickout.csv": csv("current [A],wire_feed_speed [mm/s],stickout [mm]", 12, (i) => {
    const [current, extension] = [120 + 10 * i, 10 + (i % 4)];
    return [current, 0.3 * current + 5e-5 * extension * current ** 2 + 0.1 * Math.sin(7 * i), extension];
  }),
  "stops.csv": csv("burn_back_time [s],extension_change [mm]", 8, (i) => [
    0.05 + 0.02 * i,
    3 - 40 * (0.05 + 0.02 * i) + 0.05 * Math.sin(5 * i),
  ]),
  "sticking.csv": csv("delay [s],stuck", 40, (i) => [
    0.1 * (1 + (i % 8)),
    i % 8 > 3 + (i % 3) ? "yes" : "no",
  ]),
  "gauge.csv": csv("part,operator,reading [mm]", 20, (i) => [
    1 + (i % 5),
    i % 10 < 5 ? "A" : "B",
    5 + 0.3 * (i % 5) + 0.02 * Math.sin(7 * i),
  ]),
  "days.csv": csv("date,bead_width [mm],change", 12, (i) => [
    `2026-02-${10 + i}`,
    6 + 0.1 * Math.sin(7 * i),
    i === 6 ? "tungsten" : "",
  ]),
  "meter.csv": csv("date,set [A],measured [A]", 5, (i) => [
    "2026-01-01",
    100 + 20 * i,
    99 + 20.4 * i + 0.2 * (i % 2),
  ]),
  "arc.csv": csv("time [ms],current [A],voltage [V]", 3000, (i) => [i, i < 500 ? 0 : 150, i < 500 ? 0 : 12]),
  "cooling.csv": csv("time [s],temperature [degC]", 16, (i) => [
    5 + 20 * i,
    lumpTemperature({ from: 400, surroundings: 20, timeConstant: 80, time: 5 + 20 * i }) + 0.1 * Math.sin(i),
  ]),
  "oxygen.csv": csv("time [min],oxygen [ppm]", 25, (i) => [
    10 * i,
    oxygenAfter({ volume: 200, flow: 10, leak: 0.005 }, 10 * i) * (1 + 0.01 * Math.sin(5 * i)),
  ]),
};

/** For every command, arguments with which it has something to answer. */
const examples: Readonly<Record<string, readonly string[]>> = {
  sheet: ["planned"],
  status: ["rings"],
  completion: ["bash"],
  new: ["made", "--from", "results.csv", "--process", "141", "--wire", "ER308L", "--diameter", "1.2 mm"],
  plan: [
    "rings",
    "--like",
    "150 A, 7 mm/s, good",
    "--coupons",
    "12",
    "--design",
    "latin-hypercube",
    "--survival",
    "0.4",
    "--dry",
  ],
  evaluate: ["rings", "more.csv"],
  import: ["rings", "more.csv"],
  columns: ["rings", "more.csv"],
  photo: ["rings", "marks.csv", "--length", "50 mm", "--dry"],
  profiles: ["rings", "profiles.csv", "--dry"],
  log: ["rings", "--note", "first day"],
  bench: ["rings", "--port", "0"],
  incident: ["rings", "wire stuck"],
  incidents: ["rings"],
  trace: ["arc.csv", "--process", "141"],
  check: ["rings"],
  recover: ["rings", "recovered"],
  fit: ["rings"],
  window: ["rings"],
  next: [
    "rings",
    "--like",
    "150 A, 45 in/min, width 6 mm",
    "--coupons",
    "2",
    "--control",
    "--budget",
    "60 EUR",
    "--dry",
  ],
  preset: ["rings"],
  program: ["planned", "--machine", "machine.json", "--plate-width", "300 mm", "--plate-depth", "200 mm"],
  "preset-schema": [],
  confirm: ["rings", "--preset", "preset.json"],
  compare: ["rings", "day=1,4"],
  export: ["rings"],
  merge: ["rings", "copy", "--dry"],
  share: ["rings", "--to", "share.json"],
  open: ["shared.json", "opened"],
  forecast: ["rings", "--preset", "preset.json", "--length", "120 mm", "--layers", "40"],
  build: ["rings", "ring-9", "--start"],
  report: ["rings", "--html", "report.html"],
  draw: ["rings", "coverage"],
  physics: ["rings"],
  standoff: ["layers.csv", "--gauge-sd", "0.05 mm"],
  wall: ["rings", "--preset", "preset.json", "--length", "120 mm", "--layers", "40", "--log", "walls.csv"],
  section: ["points.csv"],
  stickout: ["stickout.csv"],
  "melt-back": ["stops.csv"],
  sticking: ["sticking.csv"],
  control: ["days.csv"],
  gauge: ["gauge.csv"],
  calibration: ["meter.csv", "--unit", "A"],
  cooling: ["cooling.csv"],
  purge: ["oxygen.csv", "--flow", "10 L/min", "--volume", "200 L"],
  gas: [
    "--cylinder",
    "50 L",
    "--pressure",
    "200 bar",
    "--flow",
    "12 L/min",
    "--for",
    "20 h",
    "--room",
    "30 m3",
  ],
  spacing: ["--width", "6 mm", "--height", "2 mm", "--across", "50 mm"],
  curve: ["meter.csv", "--response", "measured", "--formula", "a + b * set"],
  demo: ["played"],
};

/** For every command, arguments with one fault, and what it must be told: where, what, and what to write instead. */
const faults: Readonly<Record<string, readonly [args: readonly string[], told: RegExp]>> = {
  new: [
    ["made", "--from", "results.csv", "--process", "999", "--wire", "ER308L", "--diameter", "1.2 mm"],
    /process "999" is not a process known here; give its ISO 4063 number: 141 TIG/,
  ],
  plan: [["rings", "--coupons", "many"], /'--coupons <n>' argument 'many'.*whole number of at least 1/],
  evaluate: [
    ["rings", "furlongs.csv"],
    /furlongs\.csv:1, "travel_speed \[furlong\/min\]": unknown unit "furlong\/min"; .*mm\/min/,
  ],
  import: [["rings", "typed.csv"], /typed\.csv:2, "current \[A\]": does not begin with a number.*got "high"/],
  profiles: [
    ["rings", "strange.csv"],
    /strange\.csv:2, "coupon": no coupon of the study is called so; log it first, got "Q1"/,
  ],
  photo: [["rings", "marks.csv"], /coupon C001: mark two points scale and give --length/],
  columns: [["rings", "preset.json"], /preset\.json:2: a quote is open or stands inside a cell/],
  sheet: [["rings"], /no coupon is planned: `beadbench next rings` proposes some/],
  status: [["nowhere"], /there is no study in .*nowhere.*`beadbench new`/],
  completion: [["tcsh"], /no completion for "tcsh": write one of bash, zsh, fish, powershell/],
  log: [["rings", "C001", "curent=150"], /curent is no column of this study, did you mean current\?/],
  bench: [["rings", "--port", "70000"], /--port must be at most 65535, got 70000/],
  incident: [["rings", "wire stuck", "--lost", "20"], /"20" has no unit.*write 20 s, /],
  incidents: [["rings", "--what", "wire_stck"], /no wire_stck was logged; did you mean "wire_stuck"\?/],
  trace: [
    ["bad.csv", "--process", "141"],
    /no line of its first 64 KiB holds two numbers|bad\.csv: no column is read as voltage; it has/,
  ],
  check: [["odd"], /study\.json, "priors\.widht_sd": is no prior; did you mean "width_sd"\?/],
  recover: [["rings", "planned"], /planned exists already; choose a folder that does not/],
  fit: [["odd"], /study\.json, "priors\.widht_sd": is no prior; did you mean "width_sd"\?/],
  window: [["rings", "--without", "C01x"], /no coupon called C01x in this study; did you mean "C01\d"\?/],
  next: [["rings", "--coupons", "1.5", "--dry"], /'--coupons <n>' argument '1.5'.*whole number/],
  preset: [["rings", "--without", "Q9"], /no coupon called Q9 in this study/],
  program: [
    ["planned", "--machine", "machine.json", "--plate-width", "300 mm", "--plate-depth", "40 mm"],
    /coupon 3 of 3 .* leaves the plate of 300 x 40 mm.*--coupons 2/,
  ],
  "preset-schema": [["rings"], /too many arguments for 'preset-schema'\. Expected 0/],
  confirm: [["rings", "--preset", "other.json"], /other\.json:1, "schema": must be "beadbench\/preset\/2"/],
  compare: [["rings", "daz=1,4"], /"daz" is no block of this study; did you mean "day"\?/],
  export: [
    ["rings", "--format", "pdf"],
    /--format must be one of csv, json, preset-json, .*, procedure, got "pdf"/,
  ],
  merge: [["rings", "planned-anew"], /are no copies of one study: their journals have no entry in common/],
  share: [["rings", "--with", "names"], /--with takes text and costs, got "names"/],
  open: [
    ["other.json", "opened"],
    /other\.json is no shared study .*"beadbench\/share\/1".*`beadbench share`/,
  ],
  forecast: [["rings", "--layers", "40"], /say what is built: --length/],
  build: [["rings", "ring-1"], /there is no build ring-1; start one with --start/],
  report: [["rings", "--html", "preset.json/page.html"], /cannot write preset\.json\/page\.html/],
  draw: [["rings", "coverege"], /no chart is called "coverege"; did you mean "coverage"\?/],
  physics: [
    ["rings", "current=150 mm"],
    /"current=150 mm": is a length; a current is wanted here, such as A/,
  ],
  standoff: [["bad.csv", "--gauge-sd", "0.05 mm"], /bad\.csv:3, "standoff": .*got "?"/],
  wall: [
    ["rings", "--preset", "preset.json", "--length", "120 mm", "--layers", "40", "--log", "bad.csv"],
    /bad\.csv:3, "standoff": .*got "\?"/,
  ],
  section: [["bad.csv"], /bad\.csv:3, "x": .*got "three"/],
  stickout: [["bad.csv"], /bad\.csv:3, "current": .*got "-5 A"|current must be above 0.*got -5 A/],
  "melt-back": [["bad.csv"], /bad\.csv:3, "extension_change": .*got "n\/a"/],
  sticking: [["bad.csv"], /bad\.csv:3, "stuck": .*write yes or no.*got "perhaps"/],
  control: [
    ["bad.csv", "--column", "meassured"],
    /bad\.csv has no column "meassured"; did you mean "measured"\?/,
  ],
  gauge: [["bad.csv"], /bad\.csv:1, "part": is missing; name a column part/],
  calibration: [["bad.csv", "--unit", "A"], /bad\.csv:3, "measured": .*12 A.*got "lots"/],
  cooling: [["bad.csv"], /bad\.csv:3, "temperature": .*12 degC.*got "hot"/],
  purge: [
    ["oxygen.csv", "--flow", "10", "--volume", "200 L"],
    /'--flow <flow>' argument '10'.*has no unit.*10 L\/min/,
  ],
  gas: [
    ["--cylinder", "50", "--pressure", "200 bar"],
    /'--cylinder <volume>' argument '50'.*has no unit.*50 L/,
  ],
  spacing: [
    ["--wall", "5 mm", "--clean", "5.8 mm"],
    /cannot exceed the total one \(5 mm\); are they swapped\?/,
  ],
  curve: [
    ["bad.csv", "--response", "stuckk", "--formula", "a * x"],
    /bad\.csv has no column "stuckk"; did you mean "stuck"\?/,
  ],
  demo: [["preset.json"], /cannot make the folder .*preset\.json/],
};

/** A table that every command on readings finds a fault in. */
const bad = [
  "layer,standoff [mm],rise [mm],x [mm],y [mm],current [A],wire_feed_speed [mm/s],stickout [mm],burn_back_time [s],extension_change [mm],delay [s],stuck,date,set [A],measured [A],time [s],temperature [degC]",
  "1,3,1.6,1,2,120,40,12,0.05,1,0.1,no,2026-01-01,100,99,0,400",
  "2,?,1.6,three,2,-5,40,12,0.07,n/a,0.5,perhaps,2026-01-01,120,lots,10,hot",
].join("\n");

describe("every command", () => {
  const shell = commandLine();
  beforeAll(async () => {
    createDemoStudy(join(shell.folder, "rings"));
    for (const [name, content] of Object.entries(files)) writeFileSync(join(shell.folder, name), content);
    await shell.run("preset", "rings", "--json", "preset.json");
    const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);
    put("bad.csv", bad);
    put("machine.json", readFileSync(new URL("../../data-demo/machine.json", import.meta.url), "utf8"));
    put("other.json", '{ "schema": "another" }');
    put("furlongs.csv", files["more.csv"]!.replace("mm/min", "furlong/min"));
    put("typed.csv", files["more.csv"]!.replace("140", "high"));
    createDemoStudy(join(shell.folder, "planned"), () => false);
    await shell.run("plan", "planned", "--coupons", "3", "--design", "sobol");
    await shell.run("share", "rings", "--to", "shared.json");
    cpSync(join(shell.folder, "rings"), join(shell.folder, "copy"), { recursive: true });
    await shell.run("new", "planned-anew", ...examples.new!.slice(1));
    createDemoStudy(join(shell.folder, "odd"), () => false);
    const odd = join(shell.folder, "odd", "study.json");
    put(
      "odd/study.json",
      JSON.stringify({ ...JSON.parse(readFileSync(odd, "utf8")), priors: { widht_sd: 0.2 } }),
    );
  }, 120_000);

  test.each(names)("%s says what is wrong with its input and how to mend it", async (name) => {
    const [args, told] = faults[name]!;
    const { status, out, notes } = await shell.run(name, ...args);
    expect(status).toBe(1);
    expect(name === "demo" ? "" : out).toBe("");
    expect(notes).toMatch(told);
    expect(notes).not.toMatch(/^\s+at \S+|internal error|\[object|undefined/m);
  });

  test.each([
    ["plan", "odd", "--coupons", "6", "--dry"],
    ["evaluate", "odd", "more.csv"],
    ["physics", "odd"],
    ["window", "odd"],
    ["next", "odd", "--coupons", "1", "--dry"],
    ["preset", "odd"],
    ["report", "odd", "--html", "odd.html"],
  ])("%s refuses a prior of study.json that is none", async (...args) => {
    const { status, out, notes } = await shell.run(...args);
    expect(notes).toMatch(/study\.json, "priors\.widht_sd": is no prior; did you mean "width_sd"\?/);
    expect([status, out]).toEqual([1, ""]);
  });

  test("stands in --help of the program, and has an example here", async () => {
    const { status, out } = await shell.run("--help");
    expect(status).toBe(0);
    for (const { usage } of commands)
      expect(out).toContain(`\n  ${usage.replace(" ", " [options] ")}`.trimEnd());
    expect(Object.keys(examples).sort()).toEqual([...names].sort());
  });

  test("is a file of lib/cli/commands, and each file there is one", () => {
    const files = readdirSync(new URL("../../lib/cli/commands", import.meta.url)).map((file) =>
      file.replace(/\.ts$/, ""),
    );
    expect(files.sort()).toEqual([...names].sort());
  });

  test.each(names)("%s has --help, by `help` too", async (name) => {
    const { status, out } = await shell.run(name, "--help");
    expect(status).toBe(0);
    expect(out).toContain(`Usage: beadbench ${name}`);
    expect(out).toMatch(/^ {2}--json /m);
    expect((await shell.run("help", name)).out).toBe(out);
  });

  test.each(names)("%s prints nothing but JSON with --json", async (name) => {
    const { status, out, notes } = await shell.run(name, ...examples[name]!, "--json");
    expect(status, notes).toBe(0);
    expect(Object.keys(JSON.parse(out)).length).toBeGreaterThan(0);
  });

  test.each([
    ["next", "rings", "--coupons", "1", "--csv"],
    ["plan", "rings", "--coupons", "12", "--design", "latin-hypercube", "--csv"],
    ["preset", "rings", "--csv"],
    ["report", "rings", "--html"],
    ["standoff", "layers.csv", "--gauge-sd", "0.05 mm", "--svg"],
  ])("%s refuses to put a second output between the JSON", async (...args) => {
    const { status, out, notes } = await shell.run(...args, "-", "--json");
    expect(status).toBe(1);
    expect(out).toBe("");
    expect(notes).toMatch(/--json and --(csv|html|svg) cannot both go to standard output: name a file/);
  });
});
