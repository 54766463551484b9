import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { expectDigits } from "../support/digits.js";
import { commandLine, type Ran } from "./run.js";

const line = commandLine();
const { run } = line;
const ok = async (...args: string[]): Promise<string> => {
  const ran = await run(...args);
  expect(ran.notes, ran.notes).not.toMatch(/beadbench:/);
  expect(ran.status).toBe(0);
  return ran.out;
};
const refused = async (...args: string[]): Promise<Ran> => {
  const ran = await run(...args);
  expect(ran.status).toBe(1);
  return ran;
};
const settings = [
  "current=130A",
  "travel_speed=110 mm/min",
  "wire_feed_speed=0.95 m/min",
  "arc_voltage=13V",
  "gas_flow=11 L/min",
];

beforeAll(async () => {
  writeFileSync(
    join(line.folder, "study.json"),
    JSON.stringify({
      schema: "beadbench/study/1",
      name: "invented ring",
      process: "141",
      wire: { classification: "ER308LSi", diameter: "1.2 mm" },
      factors: [
        { name: "current", unit: "A", low: 100, high: 160 },
        { name: "travel_speed", unit: "mm/min", low: 60, high: 240 },
        { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 1.8 },
      ],
      responses: [{ name: "bead_width", unit: "mm" }],
    }),
  );
  await ok("new", "rig", "--from", "study.json");
  await ok(
    "forecast",
    "rig",
    ...settings,
    "--ring-diameter",
    "60 mm",
    "--layers",
    "120",
    "--rise",
    "1.6 mm",
    "--plan",
    "ring.json",
  );
});

describe("a build from its start to its end", () => {
  test("is followed: layers, readings, an incident, a pause with its sheet, and the next forecast", async () => {
    await ok("build", "rig", "ring-1", "--start", "--plan", "ring.json");
    expect(existsSync(join(line.folder, "rig", "attachments", "ring.json"))).toBe(true);
    await ok(
      "incident",
      "rig",
      "wire stuck",
      "--build",
      "ring-1",
      "--layer",
      "12",
      "--lost",
      "15 min",
      "--cause",
      "spool tangled",
    );
    const state = await ok(
      "build",
      "rig",
      "ring-1",
      "standoff=3.1 mm",
      "cylinder_pressure=20 bar",
      "--layer",
      "30",
    );
    expect(state).toMatch(/ring-1: running, 30 of 120 layers \(25 %\), next start 48\.0+ mm above the first/);
    expect(state).toMatch(/1 incident, 15 min lost/);
    expect(state).toMatch(/usable in the cylinder, .* L still needed/);
    await ok("build", "rig", "ring-1", "--pause", "--note", "end of the day", "--sheet", "sheet.html");
    const sheet = readFileSync(join(line.folder, "sheet.html"), "utf8");
    expect(sheet).toContain("30 of 120 layers done");
    expect(sheet).toContain("48 mm");
    expect(sheet).toContain("110 mm/min");
    expect(sheet).toContain("spool tangled");
    expect(sheet).toContain("stays with the build");
    await ok("build", "rig", "ring-1", "--resume");
    await ok("build", "rig", "ring-1", "--end", "finished", "--layer", "120");
    expect(await ok("build", "rig")).toMatch(/ring-1 .*finished +120 .* 1 +15 min/);
    const forecast = await ok("forecast", "rig", ...settings, "--ring-diameter", "60 mm", "--layers", "120");
    expect(forecast).toMatch(/from 1 build\s+logged/);
    expect(forecast).toMatch(/wire stuck +1/);
  });

  test("gives its data with --json, and one page with --html", async () => {
    const args = ["forecast", "rig", ...settings, "--length", "120 mm", "--layers", "40"];
    const data = JSON.parse(await ok(...args, "--json"));
    expect(data.supplies.layers).toHaveLength(40);
    expect(data.plan.assumptions.dwell).toMatchObject({ value: 0, origin: "common practice" });
    await ok(...args, "--assume", "dwell=40 s", "--html", "page.html");
    const page = readFileSync(join(line.folder, "page.html"), "utf8");
    expect(page).toContain("stays with the build from the first strike to the last");
    expect(page).toMatch(/dwell<\/th><td class="numeric">40\.0 s<\/td><td class="prose">given/);
  });

  test("a part by layer and a schedule by layer are taken from files", async () => {
    writeFileSync(join(line.folder, "part.csv"), "layer,path [cm],starts\n1,20,2\n2,10,\n3,10,1\n");
    writeFileSync(
      join(line.folder, "schedule.json"),
      JSON.stringify({
        layers: [
          { layer: 1, rise: 0, dwell: 0, settings: {} },
          { layer: 2, rise: 1.7, dwell: 60, settings: { travel_speed: { value: 220, unit: "mm/min" } } },
          { layer: 3, rise: 1.6, dwell: 90, settings: {} },
        ],
      }),
    );
    const data = JSON.parse(
      await ok("forecast", "rig", ...settings, "--part", "part.csv", "--schedule", "schedule.json", "--json"),
    );
    const speeds = data.supplies.layers.map(
      (layer: { arcTime: number }, i: number) => [200, 100, 100][i]! / layer.arcTime,
    );
    expect(speeds.map((speed: number) => Math.round(60 * speed))).toEqual([110, 220, 110]);
    expectDigits(data.supplies.dwell, 150 / 3600, 12);
    expect(data.supplies.starts).toBe(4);
  });
});

describe("what is not told", () => {
  test("is not given as nothing needed, and only a process with a tungsten wears one", async () => {
    writeFileSync(
      join(line.folder, "mag.json"),
      JSON.stringify({
        schema: "beadbench/study/1",
        name: "invented wall",
        process: "135",
        wire: { classification: "ER70S-6", diameter: "1.0 mm" },
        factors: [{ name: "travel_speed", unit: "mm/min", low: 200, high: 600 }],
        responses: [{ name: "bead_width", unit: "mm" }],
      }),
    );
    await ok("new", "mag", "--from", "mag.json");
    const args = ["travel_speed=400 mm/min", "--length", "2 m", "--layers", "200"];
    const text = await ok("forecast", "mag", ...args, "--html", "mag.html");
    const page = readFileSync(join(line.folder, "mag.html"), "utf8");
    expect(text).toMatch(/^Wire +not known without a wire feed$/m);
    expect(text).toMatch(/^Gas +not known without a gas flow$/m);
    expect(text).toMatch(/^Changes +0 tungsten/m);
    expect(page).not.toMatch(/>0 (kg|m3)</);
    expect(text).toMatch(/^anything not seen yet *$/m);
    expect(page).toContain("start_time<");
    expect(await ok("forecast", "rig", ...args, "gas_flow=11 L/min")).toMatch(/^Changes +4 tungsten/m);
  });
});

describe("limits of a build", () => {
  const limits = async (...more: readonly string[]) => {
    const args = ["forecast", "rig", ...settings, "--length", "55 mm", "--layers", "40", "--json", ...more];
    const { limits: found, findings, duty } = JSON.parse(await ok(...args));
    const of = (what: string) => found.find((limit: { what: string }) => limit.what === what);
    return { of, duty, codes: findings.map(({ code }: { code: string }) => code) };
  };

  test("the source rests while an arc is started, also within a layer", async () => {
    // 55 mm at 110 mm/min: 30 s of arc; a start takes 10 s, then 30 s by assumption, twice a layer in the end.
    expectDigits((await limits()).duty, 0.75, 12);
    const waiting = ["--assume", "start_time=30 s"];
    expectDigits((await limits(...waiting)).duty, 0.5, 12);
    expectDigits((await limits(...waiting, "--starts", "2")).duty, 210 / 600, 12);
  });

  test("water warms by the arc's heat over its flow, and is not known without a flow", async () => {
    expect((await limits()).of("cooling water").state).toBe("not known");
    // 13 V, 130 A; rise by 4.184 kJ/(kg K) and 0.998 kg/L.
    const found = await limits("--assume", "water_flow=0.5 L/min");
    const { of, codes } = found;
    expect(of("cooling water").state).toBe("passed");
    expect(codes).toContain("water-too-hot");
    const watts = Number(/^(\d+) W/.exec(of("cooling water").note)![1]);
    const outlet = Number(/^(\d+) degC/.exec(of("cooling water").asked)![1]);
    expect(Math.abs(outlet - 20 - watts / ((0.5 / 60) * 0.998 * 4184))).toBeLessThan(1);
    expect(watts).toBeLessThan(13 * 130);
    expect((await limits("--assume", "water_flow=4 L/min")).of("cooling water").state).toBe("holds");
  });

  test("prices are told in the study's currency or the user's word, and never mixed", async () => {
    const args = [
      "forecast",
      "rig",
      ...settings,
      "--length",
      "55 mm",
      "--layers",
      "40",
      "--assume",
      "gas_price=9",
    ];
    expect(await ok(...args, "--currency", "CHF")).toMatch(/^Cost +[\d.]+ CHF: gas/m);
    expect(await ok(...args)).toMatch(/^Cost +[\d.]+: gas/m);
    expect((await refused(...args, "--currency", "3")).notes).toMatch(
      /a word or a sign, such as EUR, got "3"/,
    );
    const definition = JSON.parse(readFileSync(join(line.folder, "study.json"), "utf8"));
    writeFileSync(
      join(line.folder, "priced.json"),
      JSON.stringify({ ...definition, costs: { currency: "EUR", wirePerKg: 31 } }),
    );
    await ok("new", "priced", "--from", "priced.json");
    const priced = ["forecast", "priced", ...settings, "--length", "55 mm", "--layers", "40"];
    expect(await ok(...priced)).toMatch(/^Cost +[\d.]+ EUR: wire/m);
    expect((await refused(...priced, "--currency", "USD")).notes).toMatch(
      /wire_price of study\.json are in EUR, and currencies are never added up/,
    );
    expect(await ok(...priced, "--currency", "USD", "--assume", "wire_price=33")).toMatch(/USD: wire/);
  });
});

describe("while one build is under way", () => {
  test("it need not be named, short flags do, and the stand-off is foreseen from its readings", async () => {
    const args = [
      ...settings,
      "standoff=3mm",
      "--ring-diameter",
      "60 mm",
      "--layers",
      "120",
      "--rise",
      "1.6 mm",
    ];
    await ok("new", "quick", "--from", "study.json");
    await ok("forecast", "quick", ...args, "--plan", "quick.json");
    expect((await refused("build", "quick", "-l", "4")).notes).toMatch(/no build is under way: name one/);
    await ok("build", "quick", "ring-1", "--start", "--plan", "quick.json");
    expect(await ok("build", "quick", "standoff=2.9mm", "-l", "4")).toMatch(/Stand-off ahead: not foreseen/);
    for (const [layer, standoff] of [
      [8, 2.5],
      [12, 2.1],
      [16, 1.7],
      [20, 1.3],
    ])
      await ok("build", "quick", `standoff=${standoff}mm`, "-l", String(layer));
    // 0.1 mm is lost a layer: it would touch near layer 29.
    const state = await ok("build", "quick", "-l", "21");
    expect(state).toMatch(
      /Stand-off ahead, by 5 readings: .* before\s+layer 38 .*; chance\s+to\s+touch\s+till\s+then\s+([89]\d|100) %/s,
    );
    expect(state).toMatch(/by its readings the stand-off comes to/);
    await ok("incident", "quick", "wire stuck", "-l", "21", "-t", "5 min");
    expect(await ok("build", "quick")).toMatch(/ring-1 .* 1 +5 min/);
    await ok("build", "quick", "-p");
    await ok("build", "quick", "-r");
    expect((await refused("incident", "quick", "wire stuck", "-l", "300")).notes).toMatch(
      /the plan of ring-1 has 120 layers, got --layer 300/,
    );
    await ok("build", "quick", "ring-2", "--start", "--plan", "quick.json");
    expect((await refused("build", "quick", "-l", "22")).notes).toMatch(
      /2 builds are under way: say which of ring-1, ring-2/,
    );
  });

  test.each([
    ["standoff=300mm", /"standoff=300 mm": stand-off must be at least 0 and at most 60 mm/],
    ["standoff_set=-1mm", /"standoff_set=-1 mm": stand-off must be at least 0/],
    ["standoff=3A", /"standoff=3 A" is a current; a length is wanted here/],
    ["cylinder_pressure=1200 bar", /"cylinder_pressure=1200 bar": .* at most 350 bar; check the unit/],
    [
      "interpass_temperature=5000degC",
      /"interpass_temperature=5000 degC": temperature must be .* at most 3500/,
    ],
  ])("%s is refused", async (reading, message) => {
    expect((await refused("build", "rig", "ring-1", reading)).notes).toMatch(message);
  });

  test("a build without a name is refused, and a name nothing reads is asked about", async () => {
    expect((await refused("build", "rig", "", "--start")).notes).toMatch(
      /a build needs a name, such as ring-1, got ""/,
    );
    await ok("new", "asked", "--from", "study.json");
    await ok("build", "asked", "ring-1", "--start");
    expect((await run("build", "asked", "standof=3mm")).notes).toMatch(
      /"standof" is kept, and no forecast reads it; did you mean "standoff"\?/,
    );
  });
});

describe("a slip of the pen", () => {
  test("in the layers of a build is refused or voided by the entry the message names", async () => {
    await ok("build", "rig", "ring-2", "--start", "--plan", "ring.json");
    expect((await refused("build", "rig", "ring-2", "--layer", "300")).notes).toMatch(
      /the plan of ring-2 has 120 layers, got --layer 300/,
    );
    await ok("build", "rig", "ring-2", "--layer", "100");
    const { notes } = await refused("build", "rig", "ring-2", "--layer", "11");
    const entry = /--void --entry (\d+)/.exec(notes)?.[1];
    expect(entry, notes).toBeDefined();
    await ok("log", "rig", "--void", "--entry", entry!, "--why", "typed 100 for 10");
    expect(await ok("build", "rig", "ring-2", "--layer", "11")).toMatch(/running, 11 of 120 layers/);
    await ok("build", "rig", "ring-2", "--end", "given_up");
    const ended = /--void --entry (\d+)/.exec(
      (await refused("build", "rig", "ring-2", "--layer", "12")).notes,
    );
    await ok("log", "rig", "--void", "--entry", ended![1]!, "--why", "the wrong build");
    expect(await ok("build", "rig", "ring-2", "--layer", "12")).toMatch(/running, 12 of 120 layers/);
  });

  test("in an incident is voided by its entry, and no longer counts", async () => {
    const logged = await ok("incident", "rig", "hose burst", "--lost", "5 min");
    expect(await ok("incidents", "rig")).toMatch(/hose_burst/);
    await ok("log", "rig", "--void", "--entry", /entry (\d+)/.exec(logged)![1]!, "--why", "it was a joint");
    expect(await ok("incidents", "rig")).not.toMatch(/hose_burst/);
  });
});

describe("bad input is refused in plain words", () => {
  test.each([
    [["forecast", "rig", ...settings], /say what is built: --length/],
    [["forecast", "rig", ...settings, "--length", "10 mm"], /say how many layers/],
    [
      ["forecast", "rig", ...settings, "--length", "10 mm", "--layers", "5", "--assume", "dwel=3 s"],
      /did you mean "dwell"\?/,
    ],
    [
      ["forecast", "rig", ...settings, "--length", "10 mm", "--layers", "5", "--assume", "dwell=3"],
      /has no unit/,
    ],
    [
      ["forecast", "rig", "current=130A", "--length", "10 mm", "--layers", "5"],
      /a build needs a travel speed above 0/,
    ],
    [
      ["forecast", "rig", ...settings, "travel_sped=2 mm/s", "--length", "10 mm", "--layers", "5"],
      /"travel_sped" is no setting known here; did you mean "travel_speed"\?/,
    ],
    [["build", "rig", "ring-1", "standoff=-3.1 mm"], /"standoff=-3\.1 mm": stand-off must be at least 0/],
    [["build", "rig", "ring-1", "--start"], /was started before/],
    [["build", "rig", "ring-7", "--layer", "3"], /there is no build ring-7; did you mean "ring-1"\?/],
    [["build", "rig", "ring-8", "--start", "--plan", "study.json"], /study\.json is no build plan/],
    [["build", "rig", "ring-8", "--start", "--end", "finished"], /one step at a time/],
    [["build", "rig", "ring-8", "--start", "--plan", "nowhere.json"], /there is no file nowhere\.json/],
    [["incidents", "rig", "--count", "hours"], /running is counted as/],
    [["incident", "rig", "wire stuck", "--at", "arc_time=3"], /"arc_time=3" has no unit/],
    [["log", "rig", "--change", "tungsten", "--life", "8 A"], /a life is a time of arc/],
    [["log", "rig", "--entry", "3"], /--entry goes with --void/],
    [["incident", "rig", "wire stuck", "--lost=-20 min"], /time lost cannot be below 0, got -20 min/],
    [
      ["forecast", "rig", ...settings, "--length", "10 mm", "--layers", "5", "--rise=-1 mm"],
      /--rise must be above 0 mm, got -1 mm/,
    ],
    [
      ["forecast", "rig", "travel_speed=0 mm/s", "--length", "10 mm", "--layers", "5"],
      /name it, travel_speed="120 mm\/min", or give a preset/,
    ],
  ])("%j", async (args, message) => {
    const before = readFileSync(join(line.folder, "rig", "journal.jsonl"), "utf8");
    expect((await refused(...args)).notes).toMatch(message);
    expect(readFileSync(join(line.folder, "rig", "journal.jsonl"), "utf8")).toBe(before);
  });

  test("a part with a gap names the layer, a word in a cell its place", async () => {
    writeFileSync(join(line.folder, "gap.csv"), "layer,path [mm]\n1,20\n3,10\n");
    expect((await refused("forecast", "rig", ...settings, "--part", "gap.csv")).notes).toMatch(
      /after layer 1 comes 3/,
    );
    writeFileSync(join(line.folder, "word.csv"), "layer,path [mm]\n1,long\n");
    expect((await refused("forecast", "rig", ...settings, "--part", "word.csv")).notes).toMatch(
      /word\.csv:2, "path"/,
    );
  });
});
