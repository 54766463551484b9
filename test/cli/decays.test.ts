import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/index.js";
import { lumpTemperature, oxygenAfter } from "../../lib/process/index.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

/** Curves of walls whose time constant is 2 s per mm of height, in shop units: minutes and degF. */
function coolingCsv(heights: readonly number[], sd: number): string {
  const random = randomStream(3);
  const rows = heights.flatMap((height) =>
    Array.from({ length: 16 }, (_, i) => {
      const seconds = 5 + 0.5 * i * height;
      const celsius =
        lumpTemperature({ from: 400, surroundings: 20, timeConstant: 2 * height, time: seconds }) +
        sd * random.normal();
      return `${height},${seconds / 60},${celsius * 1.8 + 32}`;
    }),
  );
  return `height [mm],time [min],temperature [degF]\n${rows.join("\n")}\n`;
}

function purgeCsv(sd: number): string {
  const random = randomStream(5);
  const rows = Array.from({ length: 25 }, (_, i) => {
    const oxygen =
      oxygenAfter({ volume: 200, flow: 10, leak: 0.005 }, 10 * i) * Math.exp(sd * random.normal());
    return `${10 * i},${oxygen}`;
  });
  return `time [min],oxygen [ppm]\n${rows.join("\n")}\n`;
}
const purge = ["--flow", "10 L/min", "--volume", "0.2 m3"];

describe("cooling", () => {
  test("time constant, dwell and law over height, whatever the units of the file", async () => {
    const shell = commandLine();
    writeFileSync(join(shell.folder, "cooling.csv"), coolingCsv([20, 40, 75], 1e-4));
    const { status, out, notes } = await shell.run(
      "cooling",
      "cooling.csv",
      "--to",
      "150 degC",
      "--height",
      "60 mm",
      "--json",
    );
    expect(status, notes).toBe(0);
    const { curves, law, wanted } = JSON.parse(out);
    // 75 mm: tau = 150 s, 400 to 150 degC in 20 degC takes 160.90 s (by hand).
    expectDigits(curves[2].fit.timeConstant.estimate, 150, 5);
    expectDigits(curves[2].dwell.estimate, 160.9, 4);
    expectDigits(law.exponent.estimate, 1, 4);
    expectDigits(wanted.timeConstant.estimate, 120, 4);
    expectDigits(wanted.dwell.estimate, 0.8 * 160.9, 3.5);
  });

  test("says the limits in words, and that a short log tells too little", async () => {
    const { status, out } = await commandLine().pipe(
      coolingCsv([75], 3),
      "cooling",
      "-",
      "--to",
      "150 degC",
      "--surroundings",
      "20 degC",
    );
    expect(status).toBe(0);
    expect(out).toMatch(/75 mm +16 .*20.0 \(given\) +1[45]\d \(1[345]\d to 1[56]\d\)/);
    expect(out).toMatch(/In brackets 95 % limits/);
    const short = coolingCsv([75], 3).split("\n").slice(0, 6).join("\n");
    expect((await commandLine().pipe(short, "cooling", "-")).out).toMatch(
      /too short to tell the temperature/,
    );
  });

  test("forecasts a dwell beyond the log by a range with a safe end, and asks for a longer log where none can be told", async () => {
    // A wall that radiates and conducts: 700 degC falling to 430 in 60 s, no reading below.
    const random = randomStream(4);
    const wall = Array.from(
      { length: 31 },
      (_, i) => `${2 * i},${20 + 680 / (1 + 0.011 * 2 * i) + random.normal()}`,
    );
    const csv = `time [s],temperature [degC]\n${wall.join("\n")}\n`;
    // 20 + 680/(1 + 0.011 t) = 400 at t = 71.77 s, by hand.
    const near = await commandLine().pipe(csv, "cooling", "-", "--to", "400 degC", "--json");
    expect(near.status, near.notes).toBe(0);
    const { dwell, course } = JSON.parse(near.out).curves[0];
    expect(dwell.reach).toBe("reached");
    expect(dwell.lower).toBeLessThan(71.77);
    expect(dwell.upper).toBeGreaterThan(71.77);
    expect(dwell.upper / dwell.lower).toBeLessThan(1.3);
    expect(course.oneExponential).toBeLessThan(0.05);
    expect(course.floor.told).toBe(false);
    const text = (await commandLine().pipe(csv, "cooling", "-", "--to", "400 degC")).out;
    expect(text).toMatch(/not told/);
    expect(text).toMatch(/beyond the log/);
    expect(text).toMatch(/to be safe/);
    const far = (await commandLine().pipe(csv, "cooling", "-", "--to", "60 degC")).out;
    expect(far).toMatch(/log longer/);
    expect(far).toMatch(/no safe dwell to 60.0 degC can be told: the log ends at 43\d degC after 60 s/);
    expect(far).not.toMatch(/never/);
  });

  test("takes surroundings logged beside the readings, but not twice", async () => {
    const rows = Array.from(
      { length: 12 },
      (_, i) =>
        `${10 * i},${lumpTemperature({ from: 400, surroundings: 20, timeConstant: 150, time: 10 * i })},${19 + (i % 3)}`,
    );
    const csv = `time [s],temperature [degC],surroundings [degC]\n${rows.join("\n")}\n`;
    const { status, out } = await commandLine().pipe(csv, "cooling", "-", "--to", "250 degC");
    expect(status).toBe(0);
    expect(out).toMatch(/20.0 \(given\)/);
    const twice = await commandLine().pipe(csv, "cooling", "-", "--surroundings", "20 degC");
    expect(twice.status).toBe(1);
    expect(twice.notes).toMatch(/in a column and given by --surroundings: leave one of them out/);
  });

  test("exits 1 where nothing cools, and where a law over height has one height only", async () => {
    const rising = `time [s],temperature [degC]\n${[0, 10, 20, 30, 40, 50].map((t) => `${t},${100 + Math.sqrt(t)}`).join("\n")}\n`;
    const none = await commandLine().pipe(rising, "cooling", "-");
    expect(none.status).toBe(1);
    expect(none.out).toMatch(/does not fall towards/);
    const one = await commandLine().pipe(coolingCsv([75], 3), "cooling", "-", "--height", "50 mm");
    expect(one.status).toBe(1);
    expect(one.notes).toMatch(/three cooling curves or more, at different heights, got 1/);
  });

  test("lists every reading that cannot be, with line and column", async () => {
    const { status, notes } = await commandLine().pipe(
      "time [s],temperature [degC]\n10,300\n-5,290\n30,9000\n40,\n",
      "cooling",
      "-",
    );
    expect(status).toBe(1);
    expect(notes).toMatch(/-:3, "time": time must be at least 0 s, got -5 s/);
    expect(notes).toMatch(/-:4, "temperature": temperature must be .* got 9000 degC; give degrees Celsius/);
    expect(notes).toMatch(/-:5, "temperature": is empty/);
  });
});

describe("cooling with a slip of the pen", () => {
  /** Three heights, tau 2 s per mm, 600 degC falling towards 20 degC, in whole kelvin. */
  const rows = [20, 30, 45].flatMap((height) =>
    [2, 5, 10, 20, 30, 45, 60, 90].map((time) => {
      const value = lumpTemperature({ from: 600, surroundings: 20, timeConstant: 2 * height, time });
      return [height, time, Math.round(value)] as const;
    }),
  );
  const csv = (change: (line: number, value: number) => number): string =>
    `height [mm],time [s],temperature [degC],surroundings [degC]\n${rows.map(([h, t, v], i) => `${h},${t},${change(i + 2, v)},20`).join("\n")}\n`;
  const run = (change: (line: number, value: number) => number, ...args: readonly string[]) =>
    commandLine().pipe(csv(change), "cooling", "-", "--to", "200 degC", ...args);

  // Line 14 is 30 mm at 30 s: 20 + 580 exp(-30/60) = 372 degC, by hand.
  test.each([
    ["degF for degC", 702, /372 degC meant \(typed in degF\)\?/],
    ["a number nobody can mend", 1860, /its neighbours\s+foresee 37\d degC; it is left out of the fit/],
    ["two digits swapped", 732, /372 degC meant \(two digits were swapped\)\?/],
    ["what no metal shows", 3100, /reads 3100 degC/],
  ])("%s is named by line, time and value, with what was meant, and left out", async (_what, slip, told) => {
    const { status, out } = await run((line, value) => (line === 14 ? slip : value));
    const words = out.replace(/\s+/g, " ");
    expect(status).toBe(0);
    expect(words).toMatch(new RegExp(`-:14, "temperature": 30 mm reads ${slip} degC at 30.0 s`));
    expect(words).toMatch(new RegExp(told.source.replace(/\\s\+/g, " ")));
    expect(words).toMatch(/30 mm 7 of 8/);
    expect(words).not.toMatch(/still arriving|too short to tell|left out of the law/);
    expect(words).toMatch(/to the power (0\.99|1\.0)/);
  });

  test("in several curves is named in each", async () => {
    const { out } = await run((line, value) => (line === 6 || line === 22 ? value * 1.8 + 32 : value));
    expect(out).toMatch(/-:6, "temperature": 20 mm/);
    expect(out).toMatch(/-:22, "temperature": 45 mm/);
  });

  test("says nothing of good readings", async () => {
    const { out } = await run((_line, value) => value);
    expect(out).not.toMatch(/left out| of 8/);
  });

  test("questions a whole curve hotter than a part can be", async () => {
    const { out } = await run((line, value) => (line < 10 ? value * 5 : value));
    expect(out.replace(/\s+/g, " ")).toMatch(
      /-:2, "temperature": 20 mm reads 2\d{3} degC there, and more than 2000/,
    );
  });

  test("keeps a curve without limits out of the law over height, and says so", async () => {
    const { out } = await run((line, value) => (line < 10 ? [300, 302][line % 2]! : value));
    expect(out).toMatch(/20 mm: left out of the law over height/);
    expect(out).not.toMatch(/grows with height/);
  });
});

describe("purge", () => {
  test("mixing, leak and time, and a level under the floor", async () => {
    // 10 L/min, 200 L, 5 mL/min of air: floor 109.7 ppm, 150 ppm after 171.1 min (by hand).
    const near = await commandLine().pipe(
      purgeCsv(1e-4),
      "purge",
      "-",
      ...purge,
      "--to",
      "150 ppm",
      "--json",
    );
    expect(near.status, near.notes).toBe(0);
    const { fit, wait } = JSON.parse(near.out);
    expectDigits(fit.decay.floor.estimate, 109.7, 3.5);
    expectDigits(fit.mixing.estimate, 1, 3);
    expectDigits(wait.estimate, 171.1, 3);
    const under = await commandLine().pipe(purgeCsv(1e-4), "purge", "-", ...purge, "--to", "0.01 %");
    expect(under.status).toBe(0);
    expect(under.out).toMatch(/100 ppm is not reached/);
    expect(under.out).toMatch(/settles at 110 ppm: 100 ppm is never reached at 10.0 L\/min/);
    expect(under.out).toMatch(/Fitted in logarithms/);
  });

  test("refuses a reading of 0, a bare flow and a volume that is none", async () => {
    const zero = await commandLine().pipe(
      "time [min],oxygen [ppm]\n0,209500\n10,0\n",
      "purge",
      "-",
      ...purge,
    );
    expect(zero.status).toBe(1);
    expect(zero.notes).toMatch(/-:3, "oxygen": oxygen read \(leave out what the meter cannot resolve\)/);
    const bare = await commandLine().pipe(purgeCsv(0.05), "purge", "-", "--flow", "10", "--volume", "200 L");
    expect(bare.status).toBe(1);
    expect(bare.notes).toMatch(/"10" has no unit/);
    const none = await commandLine().pipe(
      purgeCsv(0.05),
      "purge",
      "-",
      "--flow",
      "10 L/min",
      "--volume",
      "0 L",
    );
    expect(none.status).toBe(1);
    expect(none.notes).toMatch(/enclosure volume must be above 0 L/);
  });
});
