/**
 * Wall time and memory of the commands on studies nobody should run: `npm run extremes`, or `npm run extremes -- WORD` for those
 * whose name or command holds the word. Every line must end in 0 or 1 within 20 s and 1 GB.
 */
import { mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { timedCommand } from "./timed-command.js";

const MOST_SECONDS = 20;
const MOST_MEGABYTES = 1024;

interface Extreme {
  readonly name: string;
  readonly definition: Readonly<Record<string, unknown>>;
  readonly coupons: number;
}

const rig = {
  schema: "beadbench/study/1",
  name: "extreme, invented",
  process: "141",
  wire: { classification: "ER308L", diameter: "1.2 mm" },
};
const current = { name: "current", unit: "A", low: 90, high: 180, step: 5 };
const travel = { name: "travel_speed", unit: "mm/min", low: 70, high: 200, step: 10 };
const feed = { name: "wire_feed_speed", unit: "mm/min", low: 400, high: 1400, step: 25 };
const standoff = { name: "standoff", unit: "mm", low: 2, high: 5, step: 0.5 };
const width = { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 8 } };
const sound = { name: "sound_bead", kind: "passFail" };
const many = <T>(count: number, make: (i: number) => T): T[] =>
  Array.from({ length: count }, (_, i) => make(i));
const plain = { factors: [current, travel, feed, standoff], responses: [width, sound] };

const extremes: readonly Extreme[] = [
  { name: "5000 coupons", definition: plain, coupons: 5000 },
  { name: "1000 coupons", definition: plain, coupons: 1000 },
  {
    name: "10 factors",
    definition: {
      factors: [
        ...plain.factors,
        ...many(6, (i) => ({ name: `factor_${i}`, unit: "mm", low: 1, high: 9, step: 0.1 })),
      ],
      responses: [width, sound],
    },
    coupons: 60,
  },
  {
    name: "40 factors",
    definition: {
      factors: many(40, (i) => ({ name: `factor_${i}`, unit: "mm", low: 1, high: 9 })),
      responses: [width, sound],
    },
    coupons: 60,
  },
  {
    name: "50 responses",
    definition: {
      ...plain,
      responses: many(50, (i) =>
        i % 5 === 4
          ? { name: `check_${i}`, kind: "passFail" }
          : { name: `size_${i}`, unit: "mm", spec: { lower: 1, upper: 9 } },
      ),
    },
    coupons: 40,
  },
  {
    name: "200 levels",
    definition: {
      factors: [current, travel, { name: "filler", kind: "category", levels: many(200, (i) => `lot ${i}`) }],
      responses: [width, sound],
    },
    coupons: 60,
  },
  {
    name: "tiny steps",
    definition: {
      factors: [
        { ...current, low: 1e-3, high: 1e6, step: 1e-9 },
        { ...travel, step: 1e-9 },
        { ...feed, step: 1e-7 },
      ],
      responses: [width, sound],
    },
    coupons: 30,
  },
  {
    name: "huge ranges",
    definition: {
      factors: [
        { name: "current", unit: "A", low: 1e-300, high: 1e300 },
        { name: "travel_speed", unit: "mm/min", low: 1, high: 1e9 },
      ],
      responses: [width, sound],
    },
    coupons: 20,
  },
  {
    name: "many levels by many",
    definition: {
      factors: many(6, (i) => ({ name: `knob_${i}`, kind: "category", levels: many(20, (k) => `at ${k}`) })),
      responses: [width, sound],
    },
    coupons: 60,
  },
];

type NamedFactor = {
  readonly name: string;
  readonly unit?: string;
  readonly low?: number;
  readonly high?: number;
  readonly levels?: readonly string[];
};
type NamedResponse = { readonly name: string; readonly unit?: string; readonly kind?: string };

/** Results that any rig might give: spread over the ranges, with every response filled in. */
function csvOf({ definition, coupons }: Extreme): string {
  const factors = definition.factors as readonly NamedFactor[];
  const responses = definition.responses as readonly NamedResponse[];
  const head = [...factors, ...responses].map(({ name, unit }) =>
    unit === undefined ? name : `${name} [${unit}]`,
  );
  const rows = many(coupons, (i) => {
    const share = (j: number): number => ((i + 1) * (0.618 + 0.1303 * j)) % 1;
    const settings = factors.map(({ low = 0, high = 1, levels }, j) =>
      levels === undefined
        ? Number((low + (high - low) * share(j)).toPrecision(6))
        : levels[Math.floor(share(j) * levels.length)],
    );
    const results = responses.map(({ kind }, j) =>
      kind === "passFail"
        ? share(j + 3) > 0.3
          ? "yes"
          : "no"
        : (4 + 3 * share(0) - share(1) + 0.2 * share(j + 9)).toFixed(2),
    );
    return [`K${i}`, ...settings, ...results].join(",");
  });
  return [`coupon,${head.join(",")}`, ...rows].join("\n");
}

const commands: readonly (readonly string[])[] = [
  ["plan", "--coupons", "12", "--dry"],
  ["plan", "--coupons", "5000", "--design", "optimal", "--dry"],
  ["plan", "--coupons", "5000", "--design", "latin-hypercube", "--dry"],
  ["plan", "--coupons", "100000000", "--dry"],
  ["plan", "--coupons", "40", "--design", "optimal", "--dry"],
  ["next", "--coupons", "6", "--dry"],
  ["next", "--coupons", "5000", "--dry"],
  ["import"],
  ["status"],
  ["check"],
  ["fit"],
  ["window"],
  ["next", "--coupons", "6", "--dry"],
  ["next", "--coupons", "5000", "--dry"],
  ["plan", "--coupons", "12", "--dry"],
  ["plan", "--coupons", "40", "--design", "optimal", "--dry"],
  ["evaluate", "r.csv"],
  ["preset"],
  ["report", "--html", "p.html"],
  ["export"],
  ["draw", "coverage"],
  ["physics"],
  ["sheet"],
];

const [word = ""] = process.argv.slice(2);
let broken = 0;
for (const extreme of extremes) {
  const folder = mkdtempSync(join(tmpdir(), "beadbench-extreme-"));
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, "d.json"), JSON.stringify({ ...rig, ...extreme.definition }));
  writeFileSync(join(folder, "r.csv"), csvOf(extreme));
  const run = async (...args: readonly string[]): Promise<void> => {
    const ran = await timedCommand(args, { folder, patience: 3 * MOST_SECONDS });
    const bad =
      (ran.status !== 0 && ran.status !== 1) ||
      ran.seconds > MOST_SECONDS ||
      (ran.megabytes ?? 0) > MOST_MEGABYTES;
    if (bad) broken++;
    const told =
      ran.status === 0 ? `${Math.round(ran.out.length / 1024)} kB out` : ran.notes.trim().split("\n").at(-1);
    const figures = `${ran.seconds.toFixed(1).padStart(6)} s ${(ran.megabytes ?? Number.NaN).toFixed(0).padStart(5)} MB`;
    console.log(
      `${bad ? "!!" : "  "} ${String(ran.status ?? "ended").padStart(5)} ${figures}  ${extreme.name}: ${args.join(" ")}  ${told?.slice(0, 130)}`,
    );
  };
  if (!`${extreme.name}`.includes(word)) continue;
  await run("new", "s", "--from", "d.json");
  for (const [command, ...options] of commands) {
    if (command === "import") await run("import", "s", "r.csv");
    else await run(command!, "s", ...options);
  }
}
console.log(broken === 0 ? "all within bounds" : `${broken} out of bounds`);
process.exitCode = broken === 0 ? 0 : 1;
