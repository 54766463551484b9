import { BeadbenchError, type Finding, requireThat } from "../../errors/index.js";
import type { RandomStream } from "../../numeric/index.js";
import { controlSettings, cutSessions, numberRuns, type Slot, settleOrder } from "../order/index.js";
import { type DesignLimit, makeRegion, type Settings, settingsOf, survivalAt } from "../region/index.js";
import type { Plan, PlannedRun } from "../runs/index.js";
import { estimateEffort, pullInside } from "../runs/index.js";
import { bendIntoLife, type Haven, havenOf, SURVIVAL_LEVEL } from "./bend.js";
import { affordablePlan } from "./budget.js";
import { type Built, buildCandidates } from "./build-candidates.js";
import type { PlanOptions } from "./plan-options.js";
import { type PlanRequest, readRequest } from "./plan-request.js";
import { bentFinding, keptFinding } from "./survival-findings.js";

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
  const request = readRequest(options, coupons);
  const { session } = options;
  let work = layOutWork(request, request.count);
  // Blocks and whole plots of unequal size can open a session more than foreseen.
  for (let count = request.count - 1; work.slots.length > coupons; count--) work = layOutWork(request, count);
  const { placed, settled, slots, moved } = work;
  const control = request.withControl
    ? controlSettings(request.region, request.allowed, session?.control ?? work.safeControl)
    : {};
  const numbered = numberRuns({ axes: request.region.axes, candidates: placed, settled, slots, control });
  const { survival } = options;
  const runs =
    survival === undefined
      ? numbered
      : numbered.map((run) => ({ ...run, survival: survivalAt(survival, run.settings) }));
  return {
    design: request.design,
    seed: options.seed,
    factors: options.factors,
    runs,
    ...(options.couponEffort === undefined
      ? {}
      : { effort: estimateEffort(runs, options.couponEffort, options.minutesPerHardChange ?? 0) }),
    findings: [
      ...(moved > 0 ? [movedFinding(moved, placed.length)] : []),
      ...work.findings,
      ...settled.findings,
      ...pureErrorFinding(runs, options.existing ?? []),
    ],
  };
}

/** Chooses so many coupons and puts them, with control coupons, in their order of work. */
function layOutWork(request: PlanRequest, count: number) {
  const { options, design, region, allowed, blocks, stream, withControl } = request;
  const { session, model, order } = options;
  const haven = livingHaven(request);
  const built = buildAlive({ ...request, count }, haven, stream.split("design"));
  const inside = built.candidates.map((candidate) => ({
    ...candidate,
    point: pullInside(region, candidate.point, allowed),
  }));
  const placed = haven === undefined || design === "optimal" ? inside : bendIntoLife(region, inside, haven);
  const settled = settleOrder({
    axes: region.axes,
    candidates: placed,
    request: {
      blocks,
      model: typeof model === "string" ? model : "quadratic",
      robust: order === "drift-robust",
    },
    stream,
  });
  return {
    placed,
    safeControl: haven === undefined || haven.atCentre ? undefined : settingsOf(region.axes, haven.target),
    moved: inside.filter((candidate, i) => candidate.point !== built.candidates[i]!.point).length,
    settled,
    slots:
      session === undefined
        ? settled.order.map((run): Slot => ({ run, session: 0 }))
        : cutSessions({
            order: settled.order,
            blocks: settled.blocks,
            size: session.coupons,
            control: withControl,
          }),
    findings: [
      ...built.findings,
      ...(haven === undefined ? [] : bentFinding(region, { before: inside, after: placed, haven })),
    ],
  };
}

/** What coupons can be pulled towards; undefined where nothing is known of survival. */
function livingHaven({ options, region, allowed }: PlanRequest): Haven | undefined {
  return options.survival === undefined
    ? undefined
    : havenOf({ region, allowed, wanted: options.survivalLevel ?? SURVIVAL_LEVEL, seed: options.seed });
}

/** Coupons that are chosen, not constructed, are chosen where they live; all are where that leaves too few to choose from. */
function buildAlive(request: PlanRequest, haven: Haven | undefined, stream: RandomStream): Built {
  const { design, region, options } = request;
  const chosen = design === "optimal" || design === "latin-hypercube" || design === "sobol";
  if (haven === undefined || haven.level === 0 || !chosen) return buildCandidates(request, stream);
  const alive: DesignLimit = {
    name: "chance to survive",
    value: (settings) => survivalAt(options.survival, settings),
    min: haven.level,
  };
  const held = makeRegion(region.axes, [...region.limits, alive], options.survival);
  try {
    const built = buildCandidates({ ...request, region: held, allowed: haven.target }, stream);
    return { ...built, findings: [...built.findings, keptFinding(haven)] };
  } catch (error) {
    if (error instanceof BeadbenchError && error.code === "bad-argument")
      return buildCandidates(request, stream);
    throw error;
  }
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
