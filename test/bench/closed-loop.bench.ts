import { fileURLToPath } from "node:url";
import type { StudyDefinition } from "../../lib/study/index.js";
import { oneFactorOperator, scatteringOperator } from "../rigs/baselines.js";
import {
  type Checkpoint,
  commandLineOperator,
  libraryOperator,
  loopFigures,
  type Operator,
  reliability,
  runStudy,
} from "../rigs/closed-loop.js";
import { difficulty, drawHostileRigs } from "../rigs/drawn-rig.js";
import { harder, hardKinds } from "../rigs/hard-kinds.js";
import { developmentRigs, heldOutRigs } from "../rigs/index.js";
import { bestInShop, cleanShop, dirtyShop, driftingShop } from "../rigs/shop.js";

/**
 * Closes the loop on simulated rigs and prints the true chance at the recommended preset over the best possible.
 *
 *     npx tsx test/bench/closed-loop.bench.ts [named|held-out|drawn|kind|rig,rig] [seeds] [operator] [most coupons] [shop]
 *
 * "drawn" takes one study on each of as many rigs drawn at random as there are seeds, a kind of `hard-kinds` ("spatter") the
 * same rigs made harder. Operators:
 * "library", "cli" (drives the built command line with CSV files), and for comparison "scattered" (coupons at
 * random) and "one-factor" (one factor at a time, the best coupon for a preset). Shops: "clean", "dirty", "drifting". By the library a study of 24
 * coupons takes about 4 s of one core.
 */
export function benchClosedLoop(
  which = "named",
  seeds = 5,
  by = "library",
  most = 24,
  shopName = "clean",
): undefined {
  const checkpoints = [12, 18, 24, 36].filter((count) => count <= most);
  const drawn = which === "drawn" || Object.hasOwn(hardKinds, which);
  const rigs =
    which === "drawn"
      ? drawHostileRigs(seeds, 3)
      : drawn
        ? harder(drawHostileRigs(seeds, 3), which)
        : rigsCalled(which).map((rig) => ({ rig, ...difficulty(rig) }));
  const shop = [cleanShop, dirtyShop, driftingShop].find(({ name }) => name === shopName)!;
  const all: Checkpoint[] = [];
  for (const { rig, best: clean, at, failing, good } of rigs) {
    const best = shop === cleanShop ? clean : bestInShop(rig, shop, at);
    const own: Checkpoint[] = [];
    for (let seed = 1; seed <= (drawn ? 1 : seeds); seed++) {
      const operator = operators[by as keyof typeof operators];
      own.push(...runStudy({ rig, shop, best, seed, operator: operator(rig.definition, seed), checkpoints }));
    }
    all.push(...own);
    const facts = `${(100 * failing).toFixed(0)} % fail, ${(100 * good).toFixed(2)} % good, best ${best.toFixed(2)}`;
    console.log(
      `${rig.name.padEnd(16)} ${facts}: ${own.length === checkpoints.length ? own.map(({ share }) => share.toFixed(2)).join(" ") : ""}`,
    );
    if (!drawn) print(own);
  }
  console.log("all studies");
  print(all);
  for (const { from, to, count, claimed, truth } of reliability(all)) {
    console.log(
      `  claims from ${from} to ${Math.min(to, 1)}: ${count}, mean ${claimed.toFixed(3)}, mean truth ${truth.toFixed(3)}`,
    );
  }
  return undefined;
}

const operators = {
  library: (definition: StudyDefinition, seed: number): Operator => libraryOperator(definition, seed),
  cli: (definition: StudyDefinition, seed: number): Operator =>
    commandLineOperator(definition, seed, fileURLToPath(new URL("../../dist/cli/main.js", import.meta.url))),
  scattered: scatteringOperator,
  "one-factor": oneFactorOperator,
};

/** A set of rigs, or single ones by name. */
function rigsCalled(which: string) {
  if (which === "held-out") return heldOutRigs;
  if (which === "named") return developmentRigs;
  return [...developmentRigs, ...heldOutRigs].filter(({ name }) => which.split(",").includes(name));
}

function print(results: readonly Checkpoint[]): void {
  for (const figures of loopFigures(results)) {
    const { coupons, studies, median, tenth, good, bias, overclaimed } = figures;
    console.log(
      `  ${coupons} coupons, ${studies} studies: median ${median.toFixed(3)}, 10th percentile ${tenth.toFixed(3)}, ` +
        `share >= 0.8 ${good.toFixed(3)}` +
        (Number.isNaN(bias)
          ? ""
          : `, claimed - true ${bias.toFixed(3)}, overclaimed ${overclaimed.toFixed(3)}`),
    );
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [which, seeds, by, most, shop] = process.argv.slice(2);
  benchClosedLoop(which, Number(seeds ?? 5), by, Number(most ?? 24), shop);
}
