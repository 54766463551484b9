import { BeadbenchError, type Finding, requireNumber, requireThat } from "../errors/index.js";
import { randomStream } from "../numeric/index.js";
import { affordablePlan } from "./budget.js";
import { buildCandidates } from "./build-candidates.js";
import { pullInside } from "./candidate.js";
import { chooseDesign } from "./choose-design.js";
import { estimateEffort } from "./effort.js";
import {
  type Axis,
  centrePoint,
  codedFromSettings,
  makeAxes,
  type Point,
  type Settings,
  settingsOf,
} from "./factor.js";
import { requireAllowedPoint } from "./infeasible.js";
import { brokenLimits, makeRegion, meetsLimits, type Region } from "./limit.js";
import type { Plan, PlannedRun } from "./plan.js";
import type { PlanOptions } from "./plan-options.js";
import { cutSessions, runsBesideControls, type Slot } from "./sessions.js";
import { type SettledOrder, settleOrder } from "./settle-order.js";

/**
 * Plans coupons in their order of work, every value on its step and within the limits. With a budget
 * instead of a count, plans as many coupons as it pays for.
 *
 * @throws {BeadbenchError} `bad-argument` for bad factors or too few coupons for the design or model;
 *   `infeasible` when limits leave no setting (it names them) or the budget pays for too few coupons
 */
export function planCoupons(options: PlanOptions): Plan {
  if (options.budget !== undefined) return affordablePlan(options, options.budget, planCount);
  requireThat(options.coupons !== undefined, "a plan needs a number of coupons or a budget, got neither");
  return planCount(options, options.coupons);
}

function planCount(options: PlanOptions, coupons: number): Plan {
  const { factors, seed, limits = [], existing = [], session } = options;
  requireNumber("coupons", coupons, { min: 1, max: 10_000 });
  const blocks = options.axial === "orthogonal-blocks" ? 2 : (options.blocks ?? 1);
  requireNumber("blocks", blocks, { min: 1, max: coupons });
  const axes = makeAxes(factors);
  const region = makeRegion(axes, limits);
  const stream = randomStream(seed);
  const allowed = requireAllowedPoint(region, stream.split("allowed"));
  const withControl = session !== undefined && session.control !== false;
  const count =
    session === undefined ? coupons : runsBesideControls(coupons, session.coupons, blocks, withControl);
  const design =
    options.design ??
    chooseDesign(axes, count, limits.length > 0 || existing.length > 0, count + existing.length);
  const known = existing.map((settings, i) => codedFromSettings(axes, settings, `existing coupon ${i + 1}`));
  const built = buildCandidates(
    { options, design, region, allowed, count, known, blocks },
    stream.split("design"),
  );
  const placed = built.candidates.map((candidate) => ({
    ...candidate,
    point: pullInside(region, candidate.point, allowed),
  }));
  const moved = placed.filter((candidate, i) => candidate.point !== built.candidates[i]!.point).length;
  const settled = settleOrder(
    axes,
    placed,
    {
      blocks,
      model: typeof options.model === "string" ? options.model : "quadratic",
      robust: options.order === "drift-robust",
    },
    stream,
  );
  const slots =
    session === undefined
      ? settled.order.map((run): Slot => ({ run, session: 0 }))
      : cutSessions(settled.order, settled.blocks, session.coupons, withControl);
  const control = withControl ? controlSettings(region, allowed, session.control) : {};
  const runs = numberRuns(axes, placed, settled, slots, control);
  return {
    design,
    seed,
    factors,
    runs,
    ...(options.couponEffort === undefined
      ? {}
      : { effort: estimateEffort(runs, options.couponEffort, options.minutesPerHardChange ?? 0) }),
    findings: [
      ...(moved > 0 ? [movedFinding(moved, placed.length)] : []),
      ...built.findings,
      ...settled.findings,
      ...pureErrorFinding(runs, existing),
    ],
  };
}

/** Settings of the control coupon: those given, else the allowed ones nearest the centre. */
function controlSettings(region: Region, allowed: Point, given: boolean | Settings | undefined): Settings {
  if (given === undefined || typeof given === "boolean") {
    return settingsOf(region.axes, pullInside(region, centrePoint(region.axes, 0), allowed));
  }
  codedFromSettings(region.axes, given, "control coupon");
  if (!meetsLimits(region.limits, given)) {
    throw new BeadbenchError(
      "infeasible",
      `the control coupon breaks the limits ${brokenLimits(region.limits, given).join(", ")}; choose settings within them`,
    );
  }
  return given;
}

function numberRuns(
  axes: readonly Axis[],
  candidates: readonly { readonly role: PlannedRun["role"]; readonly point: Point }[],
  settled: SettledOrder,
  slots: readonly Slot[],
  control: Settings,
): readonly PlannedRun[] {
  const blocked = new Set(settled.blocks).size > 1;
  const hard = axes.some((axis) => axis.hard);
  let wholePlot = 0;
  let before: string | undefined;
  return slots.map(({ run, session }, i): PlannedRun => {
    const near = run === "control" ? (slots[i + 1]!.run as number) : run;
    const plot = run === "control" ? `control ${i}` : `${settled.plots[run]} in ${session}`;
    if (plot !== before) wholePlot++;
    before = plot;
    return {
      order: i + 1,
      standardOrder: run === "control" ? 0 : run + 1,
      role: run === "control" ? "control" : candidates[run]!.role,
      ...(blocked ? { block: settled.blocks[near]! + 1 } : {}),
      ...(session > 0 ? { session } : {}),
      ...(hard ? { wholePlot } : {}),
      settings: run === "control" ? control : settingsOf(axes, candidates[run]!.point),
    };
  });
}

function movedFinding(moved: number, total: number): Finding {
  return {
    code: "moved-inside-limits",
    severity: "warning",
    message: `${moved} of ${total} coupons broke a limit and were pulled towards an allowed setting, so the plan is no longer balanced`,
    advice: 'the design "optimal" chooses coupons for the allowed region itself',
  };
}

function pureErrorFinding(runs: readonly PlannedRun[], existing: readonly Settings[]): readonly Finding[] {
  const all = [...runs.map((run) => run.settings), ...existing].map((settings) =>
    JSON.stringify(Object.entries(settings).sort()),
  );
  if (new Set(all).size < all.length) return [];
  return [
    {
      code: "no-repeats",
      severity: "warning",
      message:
        "no two coupons share their settings, so scatter cannot be told from a model that does not fit",
      advice: "spend two or three coupons on repeats, best spread over the days",
    },
  ];
}
