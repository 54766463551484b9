import {
  assume,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  equalLayers,
  forecastBuild,
  type RunRecord,
} from "../../../lib/endurance/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { BuildStep, Incident } from "../../../lib/study/index.js";
import { rigStudy } from "../rig.js";

const LAYERS = 100;
/** Of a start; the third is rarely seen in four builds. */
const usualRates = { wire_stuck: 0.06, start_failed: 0.02, stub_left: 0.002 } as const;
type Stop = keyof typeof usualRates;

const plan: BuildPlan = {
  schema: BUILD_PLAN_SCHEMA,
  study: "invented ring",
  made: "2026-01-01T00:00:00.000Z",
  build: { setting: { travel_speed: 2 }, wireDensity: 7.9 },
  outline: equalLayers({ layers: LAYERS, path: 240 }),
  assumptions: assume([]),
  perLayer: {},
  standoff: [],
};

/** Stops by cause: those a forecast expects in the fifth build of an invented rig, and those it has on average. */
export function foreseenStops(
  rigs: number,
  seed: number,
): Readonly<Record<Stop, { readonly expected: number; readonly true: number }>> {
  const sums = Object.fromEntries(
    Object.keys(usualRates).map((what) => [what, { expected: 0, true: 0 }]),
  ) as Record<Stop, { expected: number; true: number }>;
  const bare = rigStudy([]);
  for (let rig = 0; rig < rigs; rig++) {
    const random = randomStream(seed).split(String(rig));
    const rates = Object.entries(usualRates).map(
      ([what, rate]) => [what as Stop, rate * Math.exp(0.6 * random.normal())] as const,
    );
    const record = recordOf(bare, rates, random);
    const { causes } = forecastBuild(record, plan).risks;
    for (const [what, rate] of rates) {
      sums[what].true += (rate * LAYERS) / rigs;
      sums[what].expected += (causes.find((cause) => cause.what === what)?.stops ?? 0) / rigs;
    }
  }
  return sums;
}

/** Four builds, good and bad ones (a factor of mean 1 on all rates), four in ten lost somewhere on the way. */
function recordOf(
  bare: RunRecord,
  rates: readonly (readonly [Stop, number])[],
  random: ReturnType<typeof randomStream>,
): RunRecord {
  const incidents: Incident[] = [];
  const buildSteps: BuildStep[] = [];
  let seq = 100;
  const stamp = () => ({ seq: ++seq, time: "2026-01-02T00:00:00Z" });
  for (const build of ["a", "b", "c", "d"]) {
    const end = random.uniform() < 0.4 ? random.integer(5, LAYERS - 5) : LAYERS;
    const day = Math.exp(0.5 * random.normal() - 0.125);
    buildSteps.push({ ...stamp(), build, event: "started" });
    for (let layer = 1; layer <= end; layer++)
      for (const [what, rate] of rates)
        if (random.uniform() < rate * day)
          incidents.push({ ...stamp(), what, outcome: "resumed", build, layer });
    if (end < LAYERS)
      incidents.push({ ...stamp(), what: "gas_empty", outcome: "scrapped", build, layer: end });
    buildSteps.push({
      ...stamp(),
      build,
      event: "ended",
      outcome: end < LAYERS ? "scrapped" : "finished",
      layer: end,
      exposure: { starts: { value: end, unit: "1" } },
    });
  }
  return { ...bare, incidents, buildSteps };
}
