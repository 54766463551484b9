import type { BuildStep, Change, Incident, Study } from "../../study/index.js";
import { couponRunning } from "./coupon-running.js";
import { addRunning, type Running, runningOf, runningSince } from "./running.js";

/** The parts of a study that tell how much was run and what went wrong. */
export type RunRecord = Pick<
  Study,
  "definition" | "coupons" | "entries" | "incidents" | "changes" | "buildSteps"
>;

/** A coupon, or a stretch of a build between two things logged of it. */
export interface Stretch {
  /** `seq` of the entry that ends it. */
  readonly seq: number;
  /** RFC 3339. */
  readonly time: string;
  readonly coupon?: string;
  readonly build?: string;
  /** Layers of the build finished before it and at its end. */
  readonly layers?: readonly [number, number];
  /** Run of the build at its end. */
  readonly soFar?: Running;
  readonly run: Running;
}

/** Everything run on a rig, in the order it was logged. */
export interface Ledger {
  readonly stretches: readonly Stretch[];
  readonly total: Running;
  /** Stretches of which a kind of running was not told, by kind: totals of that kind are too low. */
  readonly untold: Running;
}

/**
 * Adds up coupons and builds. A coupon stands where it was first logged. Voided coupons were run all the same: they count.
 */
export function runningLedger(study: RunRecord): Ledger {
  const first = new Map<string, number>();
  for (const entry of study.entries)
    if (entry.kind === "logged" && entry.coupon !== undefined && !first.has(entry.coupon))
      first.set(entry.coupon, entry.seq);
  const ofCoupons = study.coupons.flatMap((coupon): Stretch[] => {
    const seq = first.get(coupon.id);
    return seq === undefined
      ? []
      : [{ seq, time: coupon.time, coupon: coupon.id, run: couponRunning(study, coupon) }];
  });
  const stretches = [...ofCoupons, ...stretchesOfBuilds(study.buildSteps)].sort((a, b) => a.seq - b.seq);
  const untold: Record<string, number> = {};
  for (const { run } of stretches)
    for (const kind of ["starts", "layers", "arc_time", "wire", "gas"] as const)
      if (run[kind] === undefined) untold[kind] = (untold[kind] ?? 0) + 1;
  return { stretches, total: stretches.reduce((sum, { run }) => addRunning(sum, run), {}), untold };
}

function stretchesOfBuilds(steps: readonly BuildStep[]): Stretch[] {
  const soFar = new Map<string, { readonly run: Running; readonly layer: number }>();
  return steps.flatMap((step): Stretch[] => {
    const before = soFar.get(step.build) ?? { run: {}, layer: 0 };
    const layer = step.layer ?? before.layer;
    const run = { ...before.run, ...runningOf(step.exposure), layers: layer };
    soFar.set(step.build, { run, layer });
    if (step.event === "started") return [];
    const more = runningSince(run, before.run);
    if (Object.values(more).every((value) => value === 0)) return [];
    return [
      {
        seq: step.seq,
        time: step.time,
        build: step.build,
        layers: [before.layer, layer],
        soFar: run,
        run: more,
      },
    ];
  });
}

/**
 * Running of the whole rig when something was logged: all that was run before it. On a coupon, that coupon is counted in;
 * in a build, the build as far as the entry tells by its own count or its layer, otherwise as far as it had been logged.
 */
export function runningAt(
  ledger: Ledger,
  event: Pick<Incident | Change, "seq"> & Partial<Incident>,
): Running {
  const { build } = event;
  const own = build === undefined ? undefined : runningInBuild(ledger, event, build);
  const onCoupon =
    event.coupon === undefined
      ? undefined
      : ledger.stretches.find(({ coupon }) => coupon === event.coupon)?.seq;
  const last = onCoupon ?? event.seq;
  return ledger.stretches
    .filter((stretch) => stretch.seq <= last && (own === undefined || stretch.build !== build))
    .reduce((sum, { run }) => addRunning(sum, run), own ?? {});
}

/** Running of one build at an event in it: by the event's own count, else by its layer, else as far as was logged. */
export function runningInBuild(
  ledger: Ledger,
  event: Pick<Incident, "seq"> & Partial<Incident>,
  build: string,
): Running {
  const stretches = ledger.stretches.filter((stretch) => stretch.build === build);
  const { layer } = event;
  const byLog = stretches.findLast(({ seq }) => seq < event.seq)?.soFar ?? {};
  const within =
    layer === undefined
      ? undefined
      : stretches.find(({ layers }) => layers !== undefined && layers[0] < layer && layer <= layers[1]);
  const byLayer = within === undefined ? byLog : shareOf(within, layer!);
  return { ...byLayer, ...runningOf(event.exposure) };
}

/** A layer is taken to be half laid when something happens in it. */
function shareOf({ layers, soFar, run }: Stretch, layer: number): Running {
  const [from, to] = layers!;
  const left = (to - layer + 0.5) / (to - from);
  return Object.fromEntries(
    Object.entries(soFar!).map(([kind, value]) => [kind, value - left * (run[kind as keyof Running] ?? 0)]),
  );
}
