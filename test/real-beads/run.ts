/**
 * How well the program foresees the coupons of a file that it has not seen, beside its own forms and three plain
 * forecasters (see DEVELOPERS.md):
 *
 *     npm run real-beads -- measured.csv study.json
 *     npm run real-beads -- measured.csv --process 135 --wire ER70S-6 --diameter 1.2mm
 *
 * Without a study.json one is drafted from the header, as `beadbench new --from` does, with the options given.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { runCommandLine } from "../../lib/cli/program.js";
import { fixed, percent, significant } from "../../lib/numeric/index.js";
import { openStudy } from "../../lib/study/index.js";
import { foreseeLeftOut, scoreOf } from "./foresee.js";
import { peersOf } from "./peers.js";

const [csv, study, ...rest] = process.argv.slice(2);
if (csv === undefined || study === undefined) {
  console.error("usage: npm run real-beads -- <file.csv> <study.json, or options of `new --from`>");
  process.exit(1);
}
const folder = mkdtempSync(join(tmpdir(), "real-beads-"));
const silent = {
  out: () => undefined,
  note: (text: string) => process.stderr.write(text),
  readInput: async () => "",
  clock: () => new Date(),
  untilStopped: async () => {},
  folder,
};
const draft = study.startsWith("--") ? [resolve(csv), study, ...rest] : [resolve(study)];
for (const args of [
  ["new", "study", "--from", ...draft],
  ["import", "study", resolve(csv)],
]) {
  const status = await runCommandLine(args, silent);
  if (status !== 0) process.exit(status);
}
const { definition, coupons } = openStudy(join(folder, "study"));
rmSync(folder, { recursive: true });
for (const { name, kind } of definition.responses) {
  if (kind !== "measured") continue;
  const left = foreseeLeftOut(definition, coupons, name);
  const peers = peersOf(left);
  const least = Math.min(...peers.map((peer) => scoreOf(left, peer).error));
  console.log(
    `\n${name}: ${left.measured.length} coupons at ${new Set(left.setting).size} settings, each setting left out`,
  );
  for (const forecaster of [...left.forecasters, ...peers]) {
    const { error, held, heldBySetting, coupons: spoken } = scoreOf(left, forecaster);
    const told = left.scale === "linear" ? significant(error) : percent(error, 1);
    const ratio = peers.length === 0 ? "-" : fixed(error / least, 2);
    console.log(
      `  ${forecaster.name.padEnd(26)} error ${told.padStart(8)}   of the best peer's ${ratio.padStart(5)}   95 % intervals held ${percent(held, 1).padStart(7)} of ${spoken}, each setting counted once ${percent(heldBySetting, 1).padStart(7)}`,
    );
  }
}
