import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { strike } from "../../data-demo/rig.js";
import { createDemoStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

const shell = commandLine();
beforeAll(() => {
  createDemoStudy(join(shell.folder, "rings"));
});

interface Planned {
  readonly runs: readonly {
    readonly settings: Readonly<Record<string, number>>;
    readonly survival?: number;
    readonly movedFrom?: object;
  }[];
}

async function planned(...options: readonly string[]): Promise<Planned> {
  const { status, out, notes } = await shell.run("plan", "rings", ...options, "--dry", "--json");
  expect(status, notes).toBe(0);
  return JSON.parse(out) as Planned;
}

/** Coupons that give dimensions on the demo's invented rig, by its own formulas, on a usual day. */
function trulyLiving({ runs }: Planned): number {
  const usual = { heat: 0, tungstenMinutes: 10, wetting: 0, plateTemperature: 25 };
  return runs.reduce((sum, { settings }) => {
    const setting = {
      current: settings.current!,
      travelSpeed: settings.travel_speed!,
      wireFeedSpeed: settings.wire_feed_speed! / 25.4,
      standoff: settings.standoff!,
    };
    return (
      sum + Object.values(strike(setting, usual).escapes).reduce((product, chance) => product * chance, 1)
    );
  }, 0);
}

describe("plan on the demo study, its 39 coupons known", () => {
  test("optimal: coupons that live on the rig they are for, twice as many as of a plan that takes all for alive", async () => {
    const weighed = await planned("--coupons", "12", "--design", "optimal");
    const plain = await planned("--coupons", "12", "--design", "optimal", "--survival", "off");
    expect(trulyLiving(weighed)).toBeGreaterThan(2 * trulyLiving(plain));
    expect(plain.runs[0]).not.toHaveProperty("survival");
  }, 60_000);

  test("central composite: pulled to the chance asked for, or left alone", async () => {
    const ask = ["--coupons", "27", "--design", "central-composite"];
    const bent = await planned(...ask, "--survival", "0.4");
    const plain = await planned(...ask, "--survival", "off");
    expect(Math.min(...bent.runs.map(({ survival }) => survival!))).toBeGreaterThanOrEqual(0.4);
    expect(trulyLiving(bent)).toBeGreaterThan(1.5 * trulyLiving(plain));
    const { out } = await shell.run("plan", "rings", ...ask, "--dry");
    expect(out).toMatch(/gives dimensions/);
    expect(out).toMatch(/Pulled to where coupons live\n +run \d+: .*current \d+ to \d+ A/);
    expect(out).toMatch(/[\d.]+ of the 27 coupons are expected to give dimensions/);
    expect(out).toMatch(/expected information about the quadratic model is \d+ % of what it was/);
  }, 60_000);

  test("evaluate says how many coupons will tell something, and counts failed ones for nothing", async () => {
    await shell.run(
      "plan",
      "rings",
      "--coupons",
      "12",
      "--design",
      "optimal",
      "--survival",
      "off",
      "--csv",
      "p.csv",
      "--dry",
    );
    writeFileSync(
      join(shell.folder, "dead.csv"),
      "coupon,current [A],travel_speed [mm/min],wire_feed_speed [in/min],standoff [mm]\nX1,90,200,56,5\nX2,90,200,56,5\n",
    );
    const { out, status, notes } = await shell.run("evaluate", "rings", "dead.csv");
    expect(status, notes).toBe(0);
    const text = out.replace(/\s+/g, " ");
    expect(text).toMatch(/2 coupons and (\d+) already run; 0\.\d of the 2 are expected to give dimensions/);
    const logged = readFileSync(join(shell.folder, "rings", "journal.jsonl"), "utf8");
    expect(Number(/and (\d+) already run/.exec(text)![1])).toBeLessThan(
      new Set(logged.match(/"coupon":"[^"]+"/g)).size,
    );
    const plain = await shell.run("evaluate", "rings", "dead.csv", "--survival", "off");
    expect(plain.out).not.toMatch(/expected to give/);
  }, 60_000);

  test("evaluate and fit tell alike what the coupons run have settled", async () => {
    const told = async (...args: readonly string[]): Promise<readonly (readonly string[])[]> => {
      const { out } = await shell.run(...args);
      const text = out.replace(/\s+/g, " ");
      return [
        ...text.matchAll(/(\w+), wanted ([\d.]+ to [\d.]+ mm: settled)[^.]*(\. A bead .*? lie within)/g),
      ].map(([, ...parts]) => parts);
    };
    const fitted = await told("fit", "rings");
    expect(fitted.map(([name]) => name)).toEqual(["bead_width", "bead_height"]);
    expect(await told("evaluate", "rings", "dead.csv")).toEqual(fitted);
    const { out } = await shell.run("evaluate", "rings", "dead.csv", "--sd", "0.3");
    expect(out.replace(/\s+/g, " ")).toMatch(/To hold bead_width at 5.40 to 6.60 mm, .* \(--sd\)/);
  }, 60_000);

  test.each([
    [
      ["plan", "rings", "--coupons", "12", "--survival", "2"],
      /'--survival <off>' argument '2'.*a chance between 0 and 1, or off/,
    ],
    [["evaluate", "rings", "dead.csv", "--survival", "0.5"], /'--survival <off>' argument '0.5'.*Write off/],
  ])("%j says what to write", async (args, told) => {
    const { status, notes } = await shell.run(...args);
    expect(status).toBe(1);
    expect(notes).toMatch(told);
  });
});

describe("plan with survival on odd studies", () => {
  const base = {
    schema: "beadbench/study/1",
    name: "odd",
    process: "141",
    wire: { classification: "ER308L", diameter: "1.2 mm" },
    factors: [
      { name: "current", unit: "A", low: 100, high: 200, step: 5 },
      { name: "constructor", unit: "1", low: 0, high: 10, step: 1 },
    ],
    responses: [
      { name: "bead_width", unit: "mm", kind: "measured" },
      { name: "sound", kind: "passFail" },
    ],
  };
  const csv = (rows: readonly string[]): string =>
    `coupon,current [A],constructor [1],bead_width [mm],sound\n${rows.join("\n")}\n`;

  test.each([
    ["no coupon", base, []],
    ["one coupon", base, ["A,100,0,6,pass"]],
    ["all failed", base, ["A,100,0,,fail", "B,200,10,,fail", "C,150,5,,fail"]],
    ["checks never judged", base, ["A,100,0,6,", "B,200,10,7,"]],
    ["no checks", { ...base, responses: base.responses.slice(0, 1) }, []],
    ["no dimensions", { ...base, responses: base.responses.slice(1) }, []],
  ])(
    "%s",
    async (_, definition, rows) => {
      const own = commandLine(mkdtempSync(join(tmpdir(), "beadbench-odd-")));
      writeFileSync(join(own.folder, "from.json"), JSON.stringify(definition));
      expect((await own.run("new", "s", "--from", "from.json")).status).toBe(0);
      if (rows.length > 0) {
        writeFileSync(join(own.folder, "r.csv"), csv(rows));
        const { status, notes } = await own.run("import", "s", "r.csv");
        expect(status, notes).toBe(0);
      }
      for (const design of ["optimal", "central-composite", "sobol"]) {
        const { status, out, notes } = await own.run("plan", "s", "--coupons", "10", "--design", design);
        expect(status, notes).toBe(0);
        expect(out).not.toMatch(/NaN|undefined|Infinity/);
      }
      const { status, out, notes } = await own.run("evaluate", "s");
      expect(status, notes).toBe(0);
      expect(out).not.toMatch(/NaN|undefined|Infinity/);
    },
    60_000,
  );
});
