import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/index.js";
import { createDemoStudy } from "../../lib/study/index.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

describe("physics", () => {
  const shell = commandLine();
  beforeAll(() => {
    createDemoStudy(join(shell.folder, "rings"));
  });

  test("gives the running example's figures for one setting", async () => {
    // TIG 12 V, 150 A, 3 mm/s, 1.2 mm wire at 20 mm/s: E = 600 J/mm (EN 1011-1), A = 7.53982 mm2 x 0.99 deposited.
    const { status, out, notes } = await shell.run(
      "physics",
      "rings",
      "current=150A",
      "arc_voltage=12V",
      "travel_speed=3 mm/s",
      "wire_feed_speed=20 mm/s",
      "--json",
    );
    expect(status, notes).toBe(0);
    const { rows } = JSON.parse(out);
    expectDigits(rows[0].quantities.arc_energy, 600, 10);
    expectDigits(rows[0].quantities.bead_area, 0.99 * 7.53982, 6);
  });

  test("lists every coupon that was not voided", async () => {
    const { rows } = JSON.parse((await shell.run("physics", "rings", "--json")).out);
    expect(rows).toHaveLength(39);
  });

  test("says which piece of equipment binds", async () => {
    // 200 A at 35 % carries 200 sqrt(0.35) = 118.32 A at 100 % (IEC 60974-1 duty rule), less the margin of 10 %.
    writeFileSync(
      join(shell.folder, "rig.json"),
      JSON.stringify({ source: { current: "200 A", duty: 0.35 } }),
    );
    const { out } = await shell.run("physics", "rings", "current=150A", "--equipment", "rig.json", "--json");
    const { equipment } = JSON.parse(out).rows[0];
    expect(equipment.binding.piece).toBe("source");
    expectDigits(equipment.currentLimit.current, 0.9 * 200 * Math.sqrt(0.35), 10);
  });

  test("says plainly when ratings were held against nothing, for want of a current", async () => {
    const put = (name: string, content: object): void =>
      writeFileSync(join(shell.folder, name), JSON.stringify(content));
    put("rig.json", { source: { current: "200 A", duty: 0.35 } });
    const definition = JSON.parse(readFileSync(join(shell.folder, "rings", "study.json"), "utf8"));
    const factors = definition.factors.filter(({ name }: { name: string }) => name !== "current");
    put("bare.json", { ...definition, factors, limits: [] });
    expect((await shell.run("new", "bare", "--from", "bare.json")).status).toBe(0);
    const setting = ["physics", "bare", "travel_speed=3 mm/s", "wire_feed_speed=20 mm/s"];
    const blind = await shell.run(...setting, "--equipment", "rig.json");
    expect(blind.status, blind.notes).toBe(0);
    expect(blind.out).toMatch(
      /setting: the ratings of rig\.json were not held against it, because its current is not known/,
    );
    expect(blind.out).toMatch(/rig\.settings of study\.json/);
    const data = JSON.parse((await shell.run(...setting, "--equipment", "rig.json", "--json")).out);
    expect(data.unrated).toEqual(["setting"]);
    const seeing = await shell.run(...setting, "current=150A", "--equipment", "rig.json");
    expect(seeing.out).not.toContain("were not held against");
    const none = await shell.run("physics", "bare", "--equipment", "rig.json");
    expect(none.out).toMatch(/no coupon.*rig\.json/);
  });

  test("refuses an equipment file with a number that lacks its unit", async () => {
    writeFileSync(join(shell.folder, "bad.json"), JSON.stringify({ source: { current: 200, duty: 0.35 } }));
    const { status, notes } = await shell.run("physics", "rings", "--equipment", "bad.json");
    expect(status).toBe(1);
    expect(notes).toMatch(/bad.json:1, "source.current": write a text with its unit/);
  });

  test("refuses a setting no rig could run with a sentence that says how to mend it", async () => {
    const { status, notes } = await shell.run(
      "physics",
      "rings",
      "current=150A",
      "arc_voltage=200V",
      "travel_speed=3 mm/s",
    );
    expect(status).toBe(1);
    expect(notes).toMatch(/arc voltage must be above 0 and at most 80 V, got 200 V; .*open-circuit/);
  });
});

describe("standoff", () => {
  /** A self-regulating rig: h = 1.5 + 0.1 (s - 3), rise 1.6, gauge noise 0.03 mm. */
  function log(): string {
    const rng = randomStream(4);
    let s = 3;
    const rows = Array.from({ length: 60 }, (_, i) => {
      const seen = s + 0.03 * rng.normal();
      s += 1.6 - (1.5 + 0.1 * (s - 3)) + 0.04 * rng.normal();
      return `${i + 1},${seen.toFixed(3)},1.6`;
    });
    return `layer,standoff [mm],rise [mm]\n${rows.join("\n")}\n`;
  }

  test("finds the slope, the verdict and the rise that holds", async () => {
    const shell = commandLine();
    writeFileSync(join(shell.folder, "log.csv"), log());
    const { status, out, notes } = await shell.run(
      "standoff",
      "log.csv",
      "--gauge-sd",
      "0.03 mm",
      "--target",
      "3 mm",
      "--json",
    );
    expect(status, notes).toBe(0);
    const { drift, holding } = JSON.parse(out);
    expect(drift.slope.lower).toBeLessThan(0.1);
    expect(drift.slope.upper).toBeGreaterThan(0.1);
    expect(Math.abs(holding.common - 1.5)).toBeLessThan(0.05);
  });

  test("draws the forecast", async () => {
    const shell = commandLine();
    writeFileSync(join(shell.folder, "log.csv"), log());
    await shell.run("standoff", "log.csv", "--gauge-sd", "0.03 mm", "--svg", "forecast.svg");
    expect(readFileSync(join(shell.folder, "forecast.svg"), "utf8")).toMatch(/^<svg/);
  });

  /** Layers of 1.65 mm under a rise of 1.8: the stand-off grows by 0.15 mm a layer and answers nothing. */
  const steady = (change = (_layer: number, standoff: number) => standoff): string =>
    `layer,standoff [mm],rise [mm]\n${Array.from({ length: 20 }, (_, i) => `${i + 1},${change(i + 1, 6 + 0.15 * i).toFixed(2)},1.8`).join("\n")}\n`;
  const standoff = (csv: string, ...args: readonly string[]) =>
    commandLine().pipe(csv, "standoff", "-", "--gauge-sd", "0.08 mm", ...args);

  test("says in words that layers do not seem to answer, and counts one layer as one", async () => {
    const { out, status } = await standoff(steady(), "--layers", "1");
    expect(status).toBe(0);
    expect(out).not.toMatch(/0 to 0\b|between .* to |every 1 layers/);
    expect(out).toMatch(/at least every layer\n/);
  });

  test("refuses limits beyond where the torch stands, and a stand-off no rig has", async () => {
    const touch = await standoff(steady(), "--touch", "9.5 mm");
    expect(touch.status).toBe(1);
    expect(touch.notes).toMatch(
      /torch touches must lie below the last stand-off of the log \(8.85 mm before layer 20\), got 9.50 mm/,
    );
    const long = await standoff(steady(), "--too-long", "8 mm");
    expect(long.status).toBe(1);
    expect(long.notes).toMatch(
      /too long must lie above the last stand-off of the log \(8.85 mm .*got 8.00 mm/,
    );
    const slip = await standoff(steady((layer, value) => (layer === 9 ? 848 : value)));
    expect(slip.status).toBe(1);
    expect(slip.notes).toMatch(/-:10, "standoff": .*at most 60 mm; check the decimal mark.* read as 848 mm/);
  });

  test("lists what is wrong with a log, with line and column", async () => {
    const shell = commandLine();
    const { status, notes } = await shell.pipe(
      "layer,standoff [A],rise [mm]\n1,3,1.5\n",
      "standoff",
      "-",
      "--gauge-sd",
      "0.03 mm",
    );
    expect(status).toBe(1);
    expect(notes).toMatch(/-:1, "standoff \[A\]": needs a unit like mm/);
  });
});

describe("confirm", () => {
  test("counts coupons run at the preset since it was made, and refuses a preset of another study", async () => {
    const shell = commandLine();
    createDemoStudy(join(shell.folder, "rings"));
    expect((await shell.run("preset", "rings", "--json", "preset.json")).status).toBe(0);
    const preset = JSON.parse(readFileSync(join(shell.folder, "preset.json"), "utf8"));
    const settings = preset.settings.map(
      (s: { name: string; value: number; unit: string }) => `${s.name}=${s.value} ${s.unit}`,
    );
    for (const [id, sound] of [
      ["K1", "yes"],
      ["K2", "yes"],
      ["K3", "no"],
    ] as const) {
      const results = ["bead_width=6 mm", "bead_height=2.25 mm", "smooth_feed=yes", `sound_bead=${sound}`];
      expect((await shell.run("log", "rings", id, ...settings, ...results)).status).toBe(0);
    }
    const { out } = await shell.run("confirm", "rings", "--preset", "preset.json", "--json");
    expect(JSON.parse(out)).toMatchObject({ coupons: 3, conforming: 2, claimed: preset.chance.value });
    createDemoStudy(join(shell.folder, "others"), () => false);
    const other = await shell.run("confirm", "others", "--preset", "preset.json");
    expect(other.status).toBe(1);
    expect(other.notes).toMatch(/was not made from this study/);
  });
});

describe("readings of the wire", () => {
  test("melt-back: 0.98168 mm of coast and 30 mm/s give the worked change of -1.4183 mm after 0.08 s", async () => {
    // Worked figure of the physics sheet, section 7: coast less melt-off, 0.98168 - 30 x 0.08.
    const shell = commandLine();
    const rows = [0.02, 0.04, 0.06, 0.08, 0.1, 0.12].map(
      (t, i) => `${t},${0.98168 - 30 * t + (i % 2 ? 1e-4 : -1e-4)}`,
    );
    const csv = `burn_back_time [s],extension_change [mm]\n${rows.join("\n")}\n`;
    const { status, out, notes } = await shell.pipe(csv, "melt-back", "-", "--change=-1.4183 mm", "--json");
    expect(status, notes).toBe(0);
    const { fit, advice } = JSON.parse(out);
    expectDigits(fit.meltingSpeed.estimate, 30, 3);
    expectDigits(advice.time, 0.08, 3);
  });

  test("stickout: recovers alpha and beta from readings of the melting law, in shop units", async () => {
    // alpha = 0.30, beta = 5.0e-5 for 1.2 mm plain steel (Norrish, from memory); the law is Lesnewich's.
    const shell = commandLine();
    const rows = [150, 180, 200, 220, 250].flatMap((current, i) =>
      [12, 15, 20].map((L, j) => {
        const speed = 0.3 * current + 5e-5 * L * current ** 2 + ((i + j) % 2 ? 0.05 : -0.05);
        return `${current},${(speed * 60) / 1000},${L}`;
      }),
    );
    const csv = `current [A],wire_feed_speed [m/min],stickout [mm]\n${rows.join("\n")}\n`;
    const { status, out, notes } = await shell.pipe(csv, "stickout", "-", "--json");
    expect(status, notes).toBe(0);
    const [alpha, beta] = JSON.parse(out).coefficients;
    expect(alpha.lower).toBeLessThan(0.3);
    expect(alpha.upper).toBeGreaterThan(0.3);
    expect(beta.lower).toBeLessThan(5e-5);
    expect(beta.upper).toBeGreaterThan(5e-5);
  });

  test("sticking: more delay, more sticking, and an assured delay inside those tried", async () => {
    const shell = commandLine();
    const rows = Array.from({ length: 60 }, (_, i) => {
      const delay = 0.1 + (i % 20) * 0.05;
      return `${delay.toFixed(2)},${delay > 0.6 || (delay > 0.5 && i % 3 === 0) ? "yes" : "no"}`;
    });
    const { status, out, notes } = await shell.pipe(
      `delay [s],stuck\n${rows.join("\n")}\n`,
      "sticking",
      "-",
      "--json",
    );
    expect(status, notes).toBe(0);
    const { delay } = JSON.parse(out);
    expect(delay.bound).toBe("at most");
    expect(delay.assured).toBeLessThan(0.6);
  });

  test("sticking: takes the median clearance of a log that has one, and says so", async () => {
    const shell = commandLine();
    const rng = randomStream(12);
    const rows = Array.from({ length: 80 }, (_, i) => {
      const [delay, clearance] = [0.1 + 0.1 * (i % 8), 1 + (i % 5) / 2];
      const chance = 1 / (1 + Math.exp(3 - 8 * (delay - 0.3) + (clearance - 2)));
      return `${delay.toFixed(1)},${clearance},${rng.uniform() < chance ? "yes" : "no"}`;
    });
    const csv = `delay [s],clearance [mm],stuck\n${rows.join("\n")}\n`;
    const plain = await shell.pipe(csv, "sticking", "-");
    expect(plain.status, plain.notes).toBe(0);
    expect(plain.out).toContain(
      "at a clearance of 2.00 mm (the median logged; --clearance asks for another)",
    );
    const [usual, same, wide] = await Promise.all(
      [[], ["--clearance", "2 mm"], ["--clearance", "3 mm"]].map(async (more) =>
        JSON.parse((await shell.pipe(csv, "sticking", "-", "--chance", "0.3", "--json", ...more)).out),
      ),
    );
    expect(usual).toEqual(same);
    expect(usual.clearance).toBe(2);
    expect(wide.delay.estimated).toBeGreaterThan(usual.delay.estimated);
  });

  test("sticking: refuses a clearance that the log says nothing of", async () => {
    const csv = `delay [s],stuck\n${Array.from({ length: 20 }, (_, i) => `${0.1 * (1 + (i % 5))},${i % 5 > 2 ? "yes" : "no"}`).join("\n")}\n`;
    const { status, notes } = await commandLine().pipe(csv, "sticking", "-", "--clearance", "2 mm");
    expect(status).toBe(1);
    expect(notes).toMatch(/logged without a clearance.*leave it out, or log it with every stop/);
  });

  test("calibration: gain, true value and drift of a feeder", async () => {
    const shell = commandLine();
    const rows = ["2026-01-05", "2026-02-04", "2026-03-06"].flatMap((date, d) =>
      [2, 4, 6, 8].map((set, i) => `${date},${set},${set * (0.98 - 0.01 * d) + (i % 2 ? 0.002 : -0.002)}`),
    );
    const csv = `date,set [m/min],measured [m/min]\n${rows.join("\n")}\n`;
    const { status, out, notes } = await shell.pipe(
      csv,
      "calibration",
      "-",
      "--unit",
      "m/min",
      "--at",
      "4",
      "--json",
    );
    expect(status, notes).toBe(0);
    const { lines, drift } = JSON.parse(out);
    expect(Math.abs(lines[0].gain - 0.98)).toBeLessThan(0.002);
    // 1 point of 98 per 30 days.
    expect(Math.abs(drift.per30Days.estimate + 0.0102)).toBeLessThan(0.001);
  });
});

describe("section", () => {
  test("width, height and area of a parabola on a tilted base", async () => {
    // Parabola 6 mm wide and 2 mm high: area 2wh/3 = 8.0 mm2 (geometry).
    const shell = commandLine();
    const slope = Math.tan((2 * Math.PI) / 180);
    const rng = randomStream(9);
    const rows = Array.from({ length: 101 }, (_, i) => {
      const x = -5 + 0.1 * i;
      const y = Math.max(0, 2 * (1 - (x / 3) ** 2)) + slope * x + 0.02 * rng.normal();
      return `${x.toFixed(2)},${y.toFixed(3)}`;
    });
    const { status, out, notes } = await shell.pipe(
      `x [mm],y [mm]\n${rows.join("\n")}\n`,
      "section",
      "-",
      "--json",
    );
    expect(status, notes).toBe(0);
    const fit = JSON.parse(out);
    expect(Math.abs(fit.width.estimate / 6 - 1)).toBeLessThan(0.02);
    expect(Math.abs(fit.height.estimate / 2 - 1)).toBeLessThan(0.02);
    expect(Math.abs(fit.area.estimate / 8 - 1)).toBeLessThan(0.02);
  });
});
