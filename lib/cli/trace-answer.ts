import { BeadbenchError, type Finding, refusalOf } from "../errors/index.js";
import type { Coupon, Study } from "../study/record/index.js";
import {
  assignRuns,
  type BeadRun,
  energyPerLength,
  type MeasuredStretch,
  ranOtherwise,
  ranSettings,
  type SetAgainstRan,
  type SettingAllowance,
  setAgainstRan,
  setTravelSpeed,
  type TraceMeasure,
  tracedContext,
} from "../traces/index.js";
import type { Quantity } from "../units/index.js";

/** A stretch of a trace, whose it is, and what it says of the coupon's settings. */
export interface TracedStretch extends MeasuredStretch {
  /** The coupon, or the number of the run where no coupon is named. */
  readonly name: string;
  readonly coupon?: string;
  /** J/mm; none where neither speed nor length is known. */
  readonly arcEnergy?: number;
  readonly against: readonly SetAgainstRan[];
  /** What goes to the coupon with `--log`. */
  readonly context: Readonly<Record<string, Quantity>>;
}

/** What the command says. */
export interface TraceAnswer extends Omit<TraceMeasure, "stretches"> {
  readonly stretches: readonly TracedStretch[];
}

/** Puts coupons to the stretches of a trace. */
export function traceAnswer({
  measure,
  study,
  coupons,
  must,
  run,
  allowance,
}: {
  readonly measure: TraceMeasure;
  readonly study: Study | undefined;
  readonly coupons?: readonly string[];
  /** Whether runs must be put to coupons: what goes to the record is never left open. */
  readonly must: boolean;
  readonly run: BeadRun;
  readonly allowance: SettingAllowance;
}): TraceAnswer {
  const guessed =
    coupons === undefined && study !== undefined && !must ? guessedRuns(measure, untraced(study)) : undefined;
  const ids = coupons ?? (study === undefined ? undefined : untraced(study));
  const byMarks = measure.stretches.some(({ mark }) => mark !== undefined);
  const assigned: readonly Assigned[] =
    guessed?.runs ?? (ids === undefined && !byMarks ? unnamed(measure) : assignRuns(measure, ids ?? []));
  const stretches = assigned.map(({ coupon: id, stretch }, i): TracedStretch => {
    const coupon = study === undefined || id === undefined ? undefined : couponOf(study, id);
    const travelSpeed =
      run.travelSpeed ??
      (study === undefined || coupon === undefined ? undefined : setTravelSpeed(study, coupon));
    const bead = { ...run, ...(travelSpeed === undefined ? {} : { travelSpeed }) };
    const arcEnergy = energyPerLength(stretch, bead);
    return {
      ...stretch,
      name: id ?? `${i + 1}`,
      ...(id === undefined ? {} : { coupon: id }),
      ...(arcEnergy === undefined ? {} : { arcEnergy }),
      against:
        study === undefined || coupon === undefined
          ? []
          : setAgainstRan({ ...study, coupon }, ranSettings(stretch), allowance),
      context: tracedContext(stretch, bead),
    };
  });
  const otherwise = stretches.flatMap(({ name, against }): readonly Finding[] => {
    const finding = ranOtherwise(name, against);
    return finding === undefined ? [] : [finding];
  });
  return {
    ...measure,
    stretches,
    findings: [...measure.findings, ...(guessed?.findings ?? []), ...otherwise],
  };
}

type Assigned = { readonly coupon?: string; readonly stretch: MeasuredStretch };

const unnamed = ({ stretches }: TraceMeasure): readonly Assigned[] =>
  stretches.map((stretch) => ({ stretch }));

/** Where nobody said which coupons a trace is of, and those that are open do not fit, it is looked at without them. */
function guessedRuns(
  measure: TraceMeasure,
  open: readonly string[],
): { readonly runs: readonly Assigned[]; readonly findings: readonly Finding[] } {
  if (open.length === 0 && measure.stretches.every(({ mark }) => mark === undefined))
    return { runs: unnamed(measure), findings: [] };
  const refusal = refusalOf(() => assignRuns(measure, open));
  if (refusal === undefined) return { runs: assignRuns(measure, open), findings: [] };
  return {
    runs: unnamed(measure),
    findings: [
      {
        code: "trace-runs-open",
        severity: "warning",
        message: refusal.message.split("\n")[0]!,
        advice: "name the coupons in the order they ran with --coupons, or give times with --marks",
      },
    ],
  };
}

function couponOf(study: Study, id: string): Coupon {
  const coupon = study.coupons.find((one) => one.id === id);
  if (coupon === undefined)
    throw new BeadbenchError(
      "not-found",
      `the study has no coupon "${id}"; name those of the trace with --coupons or in the marks`,
    );
  if (coupon.state === "voided")
    throw new BeadbenchError(
      "refused",
      `coupon ${id} is voided; leave its stretch out by --marks, or log it anew`,
    );
  return coupon;
}

/** Coupons the trace is of where nothing is said: those run without one, else those to be run, in run order. */
function untraced({ coupons }: Study): readonly string[] {
  const open = coupons.filter(({ context }) => context.traced_current === undefined);
  const run = open.filter(({ state }) => state === "logged");
  return (run.length > 0 ? run : open.filter(({ state }) => state === "planned")).map(({ id }) => id);
}
