import { mean, median, randomStream } from "../../lib/numeric/index.js";
import { type Built, buildByPlan } from "../endurance/wall/closed-loop.js";
import { heldOutLaws, wallLaws } from "../endurance/wall/walls.js";

/**
 * Stand-off error at layer 100 of walls built by schedule, after the coupons it asked for, beside constant rises; and how
 * often the bands held. `npm run bench -- walls [held] [rigs per law] [first seed]`: judge on seeds no change was tuned to.
 */
const [which = "tuned", rigs = "6", from = "1000"] = process.argv.slice(process.argv[2] === "walls" ? 3 : 2);
const laws = which === "held" ? heldOutLaws : wallLaws;
const all: Built[] = [];
const line = (name: string, built: readonly Built[]): string => {
  const of = (value: (one: Built) => number): string => mean(built.map(value)).toFixed(2);
  const held = built.flatMap((one) => one.held);
  const last = built.map((one) => one.held.at(-1)!);
  const share = (list: readonly boolean[]): string => (list.filter(Boolean).length / list.length).toFixed(3);
  return `${name.padEnd(15)} n ${built.length}  off ${of((b) => b.off)} (median ${median(built.map((b) => b.off)).toFixed(2)})  levelled ${of((b) => b.offLevelled)}  first bead ${of((b) => b.offFirst)} (median ${median(built.map((b) => b.offFirst)).toFixed(2)})  mean of 20 ${of((b) => b.offMean)} (median ${median(built.map((b) => b.offMean)).toFixed(2)})  held ${share(held)}, last ${share(last)}  half band ${of((b) => b.halfWidth)}  coupons ${built[0]!.coupons.join("+")}`;
};
for (const [name, make] of Object.entries(laws)) {
  const built: Built[] = [];
  for (let seed = Number(from); seed < Number(from) + Number(rigs); seed++) {
    const random = randomStream(seed).split(name);
    built.push(buildByPlan(make(random.split("rig")), random));
  }
  all.push(...built);
  console.log(line(name, built));
}
console.log(line("all", all));
