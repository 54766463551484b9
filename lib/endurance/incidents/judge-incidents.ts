import type { Finding } from "../../errors/index.js";
import { counted } from "../../numeric/index.js";
import type { ExposureKind } from "../../study/definition/index.js";
import { type IncidentTally, tallyIncidents } from "../../study/index.js";
import { type ExactBounds, rateBounds, requireConfidence } from "../rates/index.js";
import { type Ledger, type RunRecord, runningInBuild, runningLedger } from "../record/index.js";
import { exposureOfCause } from "./exposure-of-cause.js";

/** One kind of incident: what it cost, and how often it comes. */
export interface CauseRecord extends IncidentTally {
  /** Minutes that builds had run when it ended them: they are lost with the build, told or not. */
  readonly buildTime: number;
  /** Share of all time lost, that of builds with it; of all incidents where no time is known. */
  readonly share: number;
  /** `share` of this and all costlier ones. */
  readonly cumulative: number;
  /** What its chance is taken to grow with. */
  readonly per: ExposureKind;
  /** Incidents per unit of that running; null where that running was never told. */
  readonly rate: ExactBounds | null;
  /** The same of those that ended the piece. */
  readonly fatalRate: ExactBounds | null;
}

/** What the incidents of a study say. */
export interface IncidentJudgement {
  /** Costliest first. */
  readonly causes: readonly CauseRecord[];
  readonly ledger: Ledger;
  /** Incidents that ended the piece, of all kinds, per start, layer, hour ... that was told. */
  readonly fatal: Readonly<Partial<Record<ExposureKind, ExactBounds>>>;
  readonly confidence: number;
  readonly findings: readonly Finding[];
}

export interface IncidentOptions {
  /** What the chance of a kind of incident grows with, in the place of what its name suggests. */
  readonly per?: Readonly<Record<string, ExposureKind>>;
  /** Of the bounds. Default 0.95 */
  readonly confidence?: number;
}

/**
 * Sorts the incidents by what they cost, the hours of a build they ended with them, and gives each kind its rate with exact
 * bounds, in the running its chance grows with. With no incident the bound still says what so much running shows: "at most ...".
 *
 * @throws {BeadbenchError} `bad-argument` for a confidence outside 0 to 1
 */
export function judgeIncidents(study: RunRecord, options: IncidentOptions = {}): IncidentJudgement {
  const confidence = requireConfidence(options.confidence ?? 0.95);
  const ledger = runningLedger(study);
  const bounds = (events: number, kind: ExposureKind): ExactBounds | null => {
    const run = ledger.total[kind] ?? 0;
    return run > 0 ? rateBounds(events, run, confidence) : null;
  };
  const cost = ({ lostTime, buildTime }: Costed): number => lostTime + buildTime;
  const tallies = tallyIncidents(study)
    .map((tally): Costed => ({ ...tally, buildTime: buildTimeOf(study, ledger, tally.what) }))
    .sort((a, b) => cost(b) - cost(a) || b.scrapped - a.scrapped || b.incidents - a.incidents);
  const weight = tallies.some((tally) => cost(tally) > 0)
    ? cost
    : ({ incidents }: Costed): number => incidents;
  const whole = tallies.reduce((sum, tally) => sum + weight(tally), 0);
  let cumulative = 0;
  const causes = tallies.map((tally): CauseRecord => {
    const share = weight(tally) / whole;
    cumulative += share;
    const per = exposureOfCause(tally.what, options.per);
    return {
      ...tally,
      share,
      cumulative,
      per,
      rate: bounds(tally.incidents, per),
      fatalRate: bounds(tally.scrapped, per),
    };
  });
  const scrapped = tallies.reduce((sum, tally) => sum + tally.scrapped, 0);
  const fatal: Partial<Record<ExposureKind, ExactBounds>> = {};
  for (const kind of Object.keys(ledger.total) as ExposureKind[]) {
    const found = bounds(scrapped, kind);
    if (found !== null) fatal[kind] = found;
  }
  return { causes, ledger, fatal, confidence, findings: [...gaps(causes), ...untold(ledger)] };
}

type Costed = IncidentTally & Pick<CauseRecord, "buildTime">;

/** Minutes of builds that a cause ended: by the machine where that was counted, else the arc. */
function buildTimeOf(study: RunRecord, ledger: Ledger, what: string): number {
  return study.incidents.reduce((sum, incident) => {
    if (incident.what !== what || incident.outcome !== "scrapped" || incident.build === undefined) return sum;
    const { machine_time: machine, arc_time: arc } = runningInBuild(ledger, incident, incident.build);
    return sum + 60 * (machine ?? arc ?? 0);
  }, 0);
}

function gaps(causes: readonly CauseRecord[]): readonly Finding[] {
  const unknown = causes.reduce((sum, { incidents, timed }) => sum + incidents - timed, 0);
  if (unknown === 0) return [];
  return [
    {
      code: "lost-time-untold",
      severity: "info",
      message: `${counted(unknown, "incident")} without the time lost: what they cost is missing from the order`,
      advice: 'tell it when you log one: --lost "20 min"',
    },
  ];
}

function untold({ untold: missing, stretches }: Ledger): readonly Finding[] {
  const kinds = Object.entries(missing).filter(([, count]) => count > 0);
  if (kinds.length === 0 || stretches.length === 0) return [];
  return [
    {
      code: "running-untold",
      severity: "info",
      message: `of ${stretches.length} coupons and stretches of builds some do not tell how much was run (${kinds.map(([kind, count]) => `${kind}: ${count}`).join(", ")}): rates per these come out too high`,
      advice:
        "log bead_length or arc_time with each coupon, or set bead_length in rig.settings of study.json; log exposure with each step of a build",
    },
  ];
}
