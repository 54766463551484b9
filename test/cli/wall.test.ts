import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

const named = ["current=130A", "travel_speed=120mm/min", "wire_feed_speed=900mm/min", "standoff=3mm"];

describe("wall", () => {
  const shell = commandLine();
  beforeAll(() => {
    createDemoStudy(join(shell.folder, "rings"));
  });
  const wall = (...args: readonly string[]) => shell.run("wall", "rings", ...named, ...args);

  test("writes a schedule, a drawing, and text that says what it rests on and what to lay first", async () => {
    const { status, out, notes } = await wall(
      "--ring-diameter",
      "6 in",
      "--height",
      "40 mm",
      "--csv",
      "s.csv",
      "--svg",
      "s.svg",
    );
    expect(status, notes).toBe(0);
    expect(out).toMatch(/no wall was logged/);
    expect(out).toMatch(/Wall coupons that would settle it/);
    expect(out).toMatch(/gauge_sd +0\.1 mm +common practice/);
    expect(out).toMatch(/stop and check when the\s+stand-off leaves its band/);
    const rows = readFileSync(join(shell.folder, "s.csv"), "utf8").trim().split("\n");
    expect(rows[0]).toMatch(/^layer,rise \[mm\],dwell \[s\],temperature \[degC\],standoff \[mm\]/);
    const layers = Number(/^Wall of (\d+) layers/.exec(out)![1]);
    expect(rows).toHaveLength(layers + 1);
    expect(rows[1]).toMatch(/^1,0,0\.0,/);
    expect(readFileSync(join(shell.folder, "s.svg"), "utf8")).toMatch(/^<svg/);
  });

  test("reads walls by heights alone, in another unit and with gaps", async () => {
    writeFileSync(join(shell.folder, "walls.csv"), "wall;layer;height [cm]\na;2;0,38\na;9;1,62\na;20;3,5\n");
    const { status, out, notes } = await wall(
      "--length",
      "120 mm",
      "--layers",
      "40",
      "--log",
      "walls.csv",
      "--json",
    );
    expect(status, notes).toBe(0);
    const plan = JSON.parse(out);
    expect(plan.walls).toEqual([{ wall: "a", layers: 20, readings: 3 }]);
    expect(plan.bare[14].expected).toBeGreaterThan(1.5);
    expect(plan.bare[14].expected).toBeLessThan(1.9);
    expect(plan.posterior).toBeUndefined();
  });

  test("writes JSON that a forecast takes as its schedule, dwells and levellings in it", async () => {
    const size = ["--length", "120 mm", "--layers", "30"];
    const { out: json } = await wall(...size, "--interpass", "150 degC", "--relevel-every", "7", "--json");
    writeFileSync(join(shell.folder, "schedule.json"), json);
    const run = ["forecast", "rings", ...named, ...size, "--schedule", "schedule.json"];
    const { status, out, notes } = await shell.run(...run);
    expect(status, notes).toBe(0);
    expect(out).toMatch(/levelled 4 times/);
    const { layers } = JSON.parse(json) as { readonly layers: readonly { readonly dwell: number }[] };
    const minutes = Math.round(layers.reduce((sum, { dwell }) => sum + dwell, 0) / 60);
    const [, hours = "0", rest] = /on, (?:(\d+) h )?(\d+) min waiting/.exec(out)!;
    expect(Math.abs(60 * Number(hours) + Number(rest) - minutes)).toBeLessThanOrEqual(1);
  });

  test("writes JSON that a forecast needs nothing beside: length, layers, settings, limits", async () => {
    const { out: json } = await wall(
      "--ring-diameter",
      "80 mm",
      "--layers",
      "30",
      "--interpass",
      "150 degC",
      "--json",
    );
    writeFileSync(join(shell.folder, "ring.json"), json);
    const forecast = async (...more: readonly string[]) =>
      shell.run("forecast", "rings", "--schedule", "ring.json", ...more, "--json");
    const { status, out, notes } = await forecast();
    expect(status, notes).toBe(0);
    const { plan, limits } = JSON.parse(out);
    expect(plan.outline.layers).toHaveLength(30);
    expectDigits(plan.outline.layers[0].path, 80 * Math.PI, 12);
    expect(plan.build.setting).toMatchObject({ current: 130, travel_speed: 2, wire_feed_speed: 15 });
    const state = (what: string) => limits.find((limit: { what: string }) => limit.what === what);
    expect(state("interpass")).toMatchObject({ state: "binds", allowed: "150 degC (kept by the schedule)" });
    expect(state("stand-off").state).toBe("holds");
    expect(JSON.parse((await forecast("current=125A")).out).plan.build.setting.current).toBe(125);
    const longer = await forecast("--layers", "31");
    expect(longer.status).toBe(1);
    expect(longer.notes).toMatch(/the schedule has 30 layers and the part 31/);
    const { layers, ...rest } = JSON.parse(json);
    writeFileSync(join(shell.folder, "gap.json"), JSON.stringify({ ...rest, layers: layers.slice(1) }));
    expect((await shell.run("forecast", "rings", "--schedule", "gap.json")).notes).toMatch(
      /gap\.json: layers must be counted 1, 2, 3 without a gap: after layer 0 comes 2/,
    );
  });

  test("refuses a misspelt setting and a word in the place of a number", async () => {
    const typed = (item: string) => shell.run("wall", "rings", item, "--length", "90 mm", "--layers", "5");
    expect((await typed("curent=130A")).notes).toMatch(
      /"curent" is no setting known here; did you mean "current"\?/,
    );
    expect((await typed("gas_flow=much")).notes).toMatch(/"gas_flow=much": write a number with its unit/);
  });

  test.each([
    [["--layers", "10"], /give either --length, such as "120 mm", or --ring-diameter/],
    [["--length", "9 mm"], /give either --layers, such as 80, or --height/],
    [["--length", "9 mm", "--layers", "5", "--height", "9 mm"], /, not both/],
    [
      ["--length", "9 mm", "--layers", "5", "--assume", "gauge=1mm"],
      /nothing here is assumed under the name "gauge".*gauge_sd/,
    ],
    [
      ["--length", "9 mm", "--layers", "5", "--assume", "gauge_sd=0.1"],
      /gauge_sd: 0\.1 has no unit: write 0\.1 mm/,
    ],
    [["--length", "9 mm", "--layers", "5", "--lever", "gas_flow"], /--lever.*Allowed choices are current/],
    [
      ["--length", "9 mm", "--layers", "5", "--interpass", "5 degC"],
      /interpass temperature must be above 20 degC/,
    ],
  ])("%j is refused with how to mend it", async (args, told) => {
    const { status, out, notes } = await wall(...args);
    expect(status).toBe(1);
    expect(out).toBe("");
    expect(notes).toMatch(told);
  });

  test("names the place of a fault in a log", async () => {
    const put = (text: string): void => writeFileSync(join(shell.folder, "odd.csv"), text);
    const run = () => wall("--length", "90 mm", "--layers", "30", "--log", "odd.csv");
    put("layer,standoff [mm],rise [mm]\n1,3,1.6\n2,300,1.6\n");
    expect((await run()).notes).toMatch(/odd\.csv:3, "standoff": stand-off must be .*at most 60 mm/);
    put("layer,standoff [mm]\n1,3\n2,3.1\n");
    expect((await run()).notes).toMatch(/stand-offs and no rise.*log the rise after each layer/);
    put("layer,standoff [mm],rise [mm]\n1,3,1.6\n1,3.1,1.6\n");
    expect((await run()).notes).toMatch(/has layer 1 twice/);
  });
});
