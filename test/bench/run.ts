import { readdirSync } from "node:fs";
import { cpus } from "node:os";
import type { BenchRow } from "./peer.js";

/**
 * Runs every `*.bench.ts` beside this file, or those whose name contains a word given, and prints our time beside a
 * peer's from the same run. A bench exports `bench` (rows for the table) or a function named `bench...` that prints.
 *
 *     npm run bench
 *     npm run bench -- regression
 */
type Work = () => undefined | Promise<readonly BenchRow[] | undefined> | readonly BenchRow[];

const format = (value: number, digits: number): string =>
  Number.isFinite(value) ? value.toFixed(digits) : "-";

function print(row: BenchRow): void {
  const peer = Number.isFinite(row.peer_ms) ? `${row.peer} ${format(row.peer_ms, 3)} ms` : row.peer;
  console.log(`  ${row.name}`);
  console.log(
    `    ${format(row.ours_ms, 3)} ms | ${peer} | ratio ${format(row.ratio, 3)} | aim: ${row.target === "" ? "-" : row.target}`,
  );
}

const wanted = process.argv.slice(2);
console.log(`node ${process.version}, ${cpus()[0]?.model ?? "unknown processor"} x ${cpus().length}`);
const files = readdirSync(new URL(".", import.meta.url))
  .filter((file) => file.endsWith(".bench.ts"))
  .filter((file) => wanted.length === 0 || wanted.some((word) => file.includes(word)))
  .sort();
for (const file of files) {
  console.log(`\n${file}`);
  const module = (await import(new URL(file, import.meta.url).href)) as Record<string, unknown>;
  const name = Object.keys(module).find((key) => key.startsWith("bench"));
  if (name === undefined) throw new Error(`${file} exports no function named bench...`);
  const rows = await (module[name] as Work)();
  for (const row of rows ?? []) print(row);
}
