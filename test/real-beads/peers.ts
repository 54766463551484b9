import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Forecaster, LeftOutStudy } from "./foresee.js";

/** The plain forecasters of peers.py on the same folds; none where Python or scikit-learn is missing. */
export function peersOf({ settings, measured, scale, folds }: LeftOutStudy): readonly Forecaster[] {
  const names = Object.keys(settings[0]!);
  const levels = new Map(
    names.map((name) => [name, [...new Set(settings.map((s) => String(s[name])))].sort()]),
  );
  const x = settings.map((setting) =>
    names.flatMap((name) => {
      const value = setting[name]!;
      if (typeof value === "number") return [value];
      return levels
        .get(name)!
        .slice(1)
        .map((level) => Number(value === level));
    }),
  );
  const folder = mkdtempSync(join(tmpdir(), "peers-"));
  const task = join(folder, "task.json");
  writeFileSync(task, JSON.stringify({ x, y: measured, log: scale !== "linear", folds }));
  const script = fileURLToPath(new URL("peers.py", import.meta.url));
  const { stdout, status } = spawnSync("/usr/bin/python3", [script, task], {
    encoding: "utf8",
    env: { ...process.env, OMP_NUM_THREADS: "1" },
  });
  rmSync(folder, { recursive: true });
  if (status !== 0) return [];
  const answers = JSON.parse(stdout) as Record<string, readonly (readonly [number, number, number] | null)[]>;
  return Object.entries(answers).map(([name, list]) => ({
    name: `peer: ${name}`,
    said: list.map((word) =>
      word === null ? undefined : { estimate: word[0], lower: word[1], upper: word[2] },
    ),
  }));
}
