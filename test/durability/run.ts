/**
 * The long runs of durability, each with a seed, and a table of what came of them: `npm run endure`, or some of them by name
 * with how much of each, such as `npm run endure -- kills=1000 writers=10000`.
 */
import { randomStream } from "../../lib/numeric/random/index.js";
import { flipEveryBit, shuffleLines } from "./damage.js";
import { cutEverywhere, scenarios } from "./power-cut.js";
import { atOnce, buildWorker, killed } from "./processes.js";
import { fillDisk } from "./small-disk.js";

interface Row {
  readonly what: string;
  readonly tried: number;
  readonly acknowledged?: number;
  readonly faults: readonly string[];
}

const SEED = 18;
const everything = ["log", "import", "change", "attach", "other", "merge", "recover"] as const;

const kills =
  (seed: number, ...teams: readonly (readonly string[])[]) =>
  async (count: number): Promise<Row> => {
    const what = `killed while ${teams.map((acts) => acts.join(", ")).join(" | ")}`;
    const { acknowledged, faults } = await killed({ worker: buildWorker(), kills: count, seed, teams });
    return { what, tried: count, acknowledged, faults };
  };

const writers =
  (count: number) =>
  async (entries: number): Promise<Row> => {
    const { acknowledged, faults } = await atOnce({ worker: buildWorker(), writers: count, entries });
    return { what: `${count} writers at once`, tried: entries, acknowledged, faults };
  };

async function power(lucks: number): Promise<Row> {
  const byChance = (seed: number) => () => {
    const stream = randomStream(seed);
    return () => stream.uniform() < 0.5;
  };
  const all = [
    () => () => false,
    () => () => true,
    ...Array.from({ length: lucks }, (_, i) => byChance(SEED + i)),
  ];
  const cuts = scenarios.map((scenario) => cutEverywhere(scenario, all));
  return {
    what: "power cut at any call",
    tried: cuts.reduce((sum, { tried }) => sum + tried, 0),
    faults: cuts.flatMap(({ faults }) => faults),
  };
}

const runs: readonly (readonly [string, number, (much: number) => Promise<Row> | Row])[] = [
  ["kills", 700, kills(SEED, everything)],
  ["page", 150, kills(SEED + 1, ["page"], ["log", "note"])],
  ["merge", 150, kills(SEED + 2, ["merge"], ["other"], ["log"])],
  ["writers2", 2000, writers(2)],
  ["writers8", 2000, writers(8)],
  ["writers", 10_000, writers(4)],
  ["power", 30, power],
  ["bits", 20, (entries) => ({ what: "a bit flipped, each byte in turn", ...flipEveryBit(entries, 1) })],
  ["lines", 300, (times) => ({ what: "lines moved, repeated, taken out", ...shuffleLines(times, SEED) })],
  ["disk", 3, (times) => ({ what: "a full disk of 1 MB", ...fillDisk(times) })],
];

const wanted = new Map(process.argv.slice(2).map((word) => word.split("=") as [string, string | undefined]));
let failed = false;
for (const [name, usual, run] of runs) {
  if (wanted.size > 0 && !wanted.has(name)) continue;
  const start = performance.now();
  const { what, tried, acknowledged, faults } = await run(Number(wanted.get(name) ?? usual));
  const seconds = ((performance.now() - start) / 1000).toFixed(0);
  const kept = acknowledged === undefined ? "" : `, ${acknowledged} entries acknowledged`;
  console.log(`${name}: ${what}: ${tried} tried${kept}, ${faults.length} faults, ${seconds} s`);
  for (const fault of faults.slice(0, 10)) console.log(`    ${fault}`);
  failed ||= faults.length > 0;
}
process.exit(failed ? 1 : 0);
