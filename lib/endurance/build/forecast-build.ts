import type { Finding } from "../../errors/index.js";
import { equipmentLoad, rigPhysics } from "../../models/physical/index.js";
import type { PhysicalSetting } from "../../models/settings/index.js";
import { counted, percent, significant } from "../../numeric/index.js";
import {
  type ArcTurn,
  checkEquipment,
  type Equipment,
  type EquipmentCheck,
  worstDuty,
} from "../../process/index.js";
import type { ExposureKind } from "../../study/definition/index.js";
import type { Running, RunRecord } from "../record/index.js";
import { type BuildPlan, planLayer, planSupplies, requireBuildSetting } from "./build-plan.js";
import { type BuildLimit, buildLimits } from "./limits.js";
import { type BuildRisks, buildRisks, PLANNED_TOUCH } from "./risks.js";
import type { Supplies } from "./supplies.js";
import { touchRisk } from "./touch-risk.js";

/** One line of the bill. */
export interface CostLine {
  readonly what: string;
  readonly amount: number;
  readonly unit: string;
  readonly cost: number;
}

/** What a change would buy. */
export interface Improvement {
  readonly what: string;
  /** Chance to finish with it, and what it is without. */
  readonly chance: number;
  readonly from: number;
  /** h saved in expectation. */
  readonly timeSaved: number;
}

/** What a build will need, and whether it will end well. */
export interface BuildForecast {
  readonly plan: BuildPlan;
  readonly supplies: Supplies;
  readonly risks: BuildRisks;
  /** h with the stops expected, and on average in the twentieth of builds with most stops. */
  readonly time: { readonly expected: number; readonly longest: number };
  readonly costs: readonly CostLine[];
  readonly improvements: readonly Improvement[];
  /** Share of the worst ten minutes with the arc on. */
  readonly duty: number;
  /** What the build asks of source, water, interpass temperature and stand-off, and what they bear. */
  readonly limits: readonly BuildLimit[];
  readonly equipment: EquipmentCheck | null;
  readonly findings: readonly Finding[];
}

/**
 * Forecasts a build from its plan and the record of the rig: time with dwell and stops, wire, gas with its change-overs,
 * electricity, tungsten, cost, duty of the source, the chance to finish and where the risk sits.
 *
 * It permits nothing: someone stays with the arc.
 *
 * @param ask.equipment - makers' ratings, to hold the settings and the duty against
 * @throws {BeadbenchError} `bad-argument` where the plan cannot be added up
 */
export function forecastBuild(
  study: RunRecord,
  plan: BuildPlan,
  ask: {
    readonly equipment?: Equipment;
    readonly per?: Readonly<Record<string, ExposureKind>>;
  } = {},
): BuildForecast {
  const { setting } = plan.build;
  requireBuildSetting(setting);
  const supplies = planSupplies(plan);
  const ahead = runningAhead(plan, supplies);
  const { assumptions } = plan;
  const risks = buildRisks(study, {
    ahead,
    stopTime: assumptions.stop_time.value,
    touch: touchRisk(plan),
    ...(ask.per === undefined ? {} : { per: ask.per }),
  });
  const duty = worstDuty(arcTurns(plan, supplies));
  const load = equipmentLoad({ setting: hottestSetting(plan), physics: rigPhysics(study), duty });
  const limits = buildLimits(study, plan, { duty, load, equipment: ask.equipment });
  const equipment =
    ask.equipment === undefined || load === undefined ? null : checkEquipment(load, ask.equipment);
  return {
    plan,
    supplies,
    risks,
    time: {
      expected: supplies.time + risks.lostTime / 60,
      longest:
        supplies.time +
        (risks.stops === 0 ? 0 : (risks.lostTime / risks.stops) * worstStops(risks.stops)) / 60,
    },
    costs: costsOf(plan, supplies, risks),
    improvements: improvementsOf(plan, supplies, risks),
    duty,
    limits,
    equipment,
    findings: [
      ...supplyFindings(plan, supplies),
      ...limits.flatMap(({ finding }) => finding ?? []),
      ...(equipment?.findings ?? []),
      ...chanceFindings(risks),
    ],
  };
}

/** Arc and wait in turn over a build: the wait between layers, and the time each start takes. Changes and stops left out. */
function arcTurns(plan: BuildPlan, supplies: Supplies): readonly ArcTurn[] {
  const { dwell, start_time: startTime } = plan.assumptions;
  return supplies.layers.flatMap(({ layer, arcTime, starts }) => {
    const wait = layer === 1 ? 0 : (planLayer(plan, layer).dwell ?? dwell.value);
    const pieces = Math.max(1, Math.round(starts));
    const between = (starts * startTime.value) / pieces;
    return Array.from({ length: pieces }, (_, i) => ({
      off: between + (i === 0 ? wait : 0),
      on: arcTime / pieces,
    }));
  });
}

/** The setting of the layer with the highest current. */
function hottestSetting(plan: BuildPlan): PhysicalSetting {
  const { setting } = plan.build;
  return plan.outline.layers.reduce((hottest, { layer }) => {
    const own = { ...setting, ...planLayer(plan, layer).setting };
    return (own.current ?? 0) > (hottest.current ?? 0) ? own : hottest;
  }, setting);
}

/** Running of a whole build, by kind. */
export function runningAhead(plan: BuildPlan, supplies: Supplies): Running {
  return {
    starts: supplies.starts,
    layers: plan.outline.layers.length,
    arc_time: supplies.arcTime,
    machine_time: supplies.time,
    wire: supplies.wire,
    gas: supplies.gas,
  };
}

/**
 * Stops of the worst twentieth of builds, on average, of a Poisson number: never below what is expected, unlike the number
 * that one build in twenty exceeds, which may be none.
 *
 *     E[N; N above q] + q (share - P(N above q)), over the share, with q the number that so many exceed
 */
function worstStops(expected: number, share = 0.05): number {
  let [below, belowSum, term, count] = [0, 0, Math.exp(-expected), 0];
  // Beyond that exp(-expected) is 0, and the number is as good as normal: density over share at 1.645 is 2.063.
  if (expected > 500) return expected + 2.063 * Math.sqrt(expected);
  while (below + term < 1 - share) {
    below += term;
    belowSum += count * term;
    count++;
    term *= expected / count;
  }
  return (expected - belowSum - count * (1 - share - below)) / share;
}

function costsOf({ assumptions }: BuildPlan, supplies: Supplies, risks: BuildRisks): readonly CostLine[] {
  const hours = supplies.time + risks.lostTime / 60;
  const lines = [
    ["gas", supplies.gas / 1000, "m3", assumptions.gas_price],
    ["wire", supplies.wireMass, "kg", assumptions.wire_price],
    ["electricity", supplies.electricity ?? 0, "kWh", assumptions.mains_price],
    ["tungsten", supplies.tungstenChanges, "1", assumptions.tungsten_price],
    ["labour", hours, "h", assumptions.labour_price],
  ] as const;
  return lines.flatMap(([what, amount, unit, price]) =>
    price.value > 0 ? [{ what, amount, unit, cost: amount * price.value }] : [],
  );
}

/** What one change each would buy; the causes removed stand for whatever removes them. */
function improvementsOf(
  { assumptions }: BuildPlan,
  supplies: Supplies,
  { chance, causes, tried }: BuildRisks,
): readonly Improvement[] {
  const from = chance.predictive;
  const removed = causes
    .filter(({ seen }) => seen > 0)
    .map(({ what, without, lostTime }) => ({
      what: `no more ${what}`,
      chance: tried.length === 0 ? from : without,
      from,
      timeSaved: lostTime / 60,
    }));
  const levelled = causes
    .filter(({ what }) => what === PLANNED_TOUCH)
    .map(({ without }) => ({
      what: "levelling so often that the planned stand-off cannot end in a touch",
      chance: tried.length === 0 ? from : without,
      from,
      timeSaved: 0,
    }));
  const joined =
    supplies.cylinders === 0
      ? []
      : [
          {
            what: "two cylinders on a manifold, changed while the other flows",
            chance: from,
            from,
            timeSaved: (supplies.cylinders * assumptions.cylinder_change.value) / 60,
          },
        ];
  return [...removed, ...levelled, ...joined].sort(
    (a, b) => b.chance - a.chance || b.timeSaved - a.timeSaved,
  );
}

function supplyFindings(
  { build: { setting }, assumptions }: BuildPlan,
  supplies: Supplies,
): readonly Finding[] {
  const changes = supplies.layers.filter((layer) => layer.changes.includes("cylinder"));
  return [
    ...(setting.gas_flow === undefined
      ? [
          {
            code: "gas-untold",
            severity: "warning" as const,
            message: "no gas flow is told: gas and cylinders are not in this forecast",
            advice: 'give gas.flow in study.json, or name it: gas_flow="10 L/min"',
          },
        ]
      : []),
    ...(setting.wire_feed_speed === undefined
      ? [
          {
            code: "wire-untold",
            severity: "warning" as const,
            message: "no wire feed is told: wire and spools are not in this forecast",
            advice: 'give a preset that sets wire_feed_speed, or name it: wire_feed_speed="1 m/min"',
          },
        ]
      : []),
    ...(changes.length === 0
      ? []
      : [
          {
            code: "cylinder-changes",
            severity: "info" as const,
            message: `the cylinder runs out in layer ${changes
              .map(({ layer }) => layer)
              .slice(0, 8)
              .join(", ")}${changes.length > 8 ? " ..." : ""}`,
            advice: `change it between layers before that, or join two on a manifold; ${significant(assumptions.cylinder_left.value)} L are taken to be in the one in place`,
          },
        ]),
  ];
}

function chanceFindings({ chance, tried }: BuildRisks): readonly Finding[] {
  if (tried.length === 0)
    return [
      {
        code: "no-builds",
        severity: "warning",
        message:
          "no build of this rig was logged yet: the chance to finish rests on a guess of one loss in some builds, and says little",
        advice: "log each build with `beadbench build`, from its start to its end, lost ones too",
      },
    ];
  const range = `${percent(chance.atLeast)} and ${percent(chance.atMost)}`;
  const lost = tried.filter((build) => build.lost).length;
  return [
    ...(tried.length < 3
      ? [
          {
            code: "few-builds",
            severity: "info" as const,
            message: `${counted(tried.length, "build")} logged so far: the chance to finish lies between ${range} as far as these tell`,
          },
        ]
      : []),
    ...(tried.length < ALIKE && (lost === 0 || lost === tried.length)
      ? [
          {
            code: "builds-alike",
            severity: "info" as const,
            message: `all builds so far were ${lost === 0 ? "finished" : "lost"}: from so few alike the chance leans too far to its end, and may well lie between ${range}`,
          },
        ]
      : []),
  ];
}

/** With fewer builds that all ended alike, claims near 0 and 1 lean too far on simulated rigs. */
const ALIKE = 6;
