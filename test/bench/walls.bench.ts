import { mean, median, randomStream } from "../../lib/numeric/index.js";
import { type Built, buildByPlan } from "../endurance/wall/closed-loop.js";
import { heldOutLaws, wallLaws } from "../endurance/wall/walls.js";

const line = (name: string, built: readonly Built[]): string => {
  const of = (value: (one: Built) => number): string => mean(built.map(value)).toFixed(2);
  const held = built.flatMap((one) => one.held);
  const last = built.map((one) => one.held.at(-1)!);
  const share = (list: readonly boolean[]): string => (list.filter(Boolean).length / list.length).toFixed(3);
  return `${name.padEnd(15)} n ${built.length}  off ${of((b) => b.off)} (median ${median(built.map((b) => b.off)).toFixed(2)})  levelled ${of((b) => b.offLevelled)}  first bead ${of((b) => b.offFirst)} (median ${median(built.map((b) => b.offFirst)).toFixed(2)})  mean of 20 ${of((b) => b.offMean)} (median ${median(built.map((b) => b.offMean)).toFixed(2)})  held ${share(held)}, last ${share(last)}  half band ${of((b) => b.halfWidth)}  coupons ${built[0]!.coupons.join("+")}`;
};
/**
 * Stand-off error at layer 100 of walls built by schedule, after the coupons it asked for, beside constant rises; and how
 * often the bands held. Judge on seeds no change was tuned to: RIGS=8 FROM=9000 npm run bench -- walls
 */
export function benchWalls(
  rigs = Number(process.env.RIGS ?? 4),
  from = Number(process.env.FROM ?? 1000),
): void {
  for (const [what, laws] of [
    ["laws that beliefs were set on", wallLaws],
    ["laws held out", heldOutLaws],
  ] as const) {
    console.log(`  ${what}; lengths in mm`);
    const all: Built[] = [];
    for (const [name, make] of Object.entries(laws)) {
      const built = Array.from({ length: rigs }, (_, i) => {
        const random = randomStream(from + i).split(name);
        return buildByPlan(make(random.split("rig")), random);
      });
      all.push(...built);
      console.log(`  ${line(name, built)}`);
    }
    console.log(`  ${line("all", all)}`);
  }
}
