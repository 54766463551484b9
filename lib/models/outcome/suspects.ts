import type { Finding } from "../../errors/index.js";
import { normalQuantile, percent, significant } from "../../numeric/index.js";
import { type Response, type StudyDefinition, verdictWord } from "../../study/definition/index.js";
import { withUnit } from "../../units/index.js";
import { correctionCommand } from "../gate/index.js";
import { EXACT, makeCheckChance } from "./check-chance.js";
import type { Coordinate } from "./coordinates.js";
import type { CouponOutcome } from "./coupon-outcomes.js";
import type { CheckModel } from "./fit-checks.js";
import type { LatentModel } from "./latent.js";
import type { RecordDoubt } from "./record-doubt.js";
import { fromLinkScale } from "./response-link.js";
import type { SeenCoupon } from "./seen-coupon.js";
import { verdictDoubt } from "./verdict-doubt.js";

/** How likely a logged coupon is not what its record says, and what is likeliest wrong with it. Plain data. */
export interface SuspectCoupon {
  readonly coupon: string;
  /** Chance that anything is wrong with it. */
  readonly chance: number;
  /** A reading that is a slip, another setting than recorded, a verdict ticked wrongly. */
  readonly likeliest: "reading" | "setting" | "verdict";
  /** The response or check in question. */
  readonly what?: string;
  /** What was logged of it, and what the other coupons foresee at its setting: median and 95 % limits, in its unit. */
  readonly reading?: {
    readonly value: number;
    readonly foreseen: number;
    readonly lower: number;
    readonly upper: number;
  };
  /** The verdict logged, and its chance. */
  readonly verdict?: { readonly passed: boolean; readonly foreseen: number };
}

/** What suspicion follows from. */
export interface SuspectEvidence {
  readonly definition: StudyDefinition;
  readonly coordinates: readonly Coordinate[];
  readonly latent: LatentModel;
  readonly coupons: readonly CouponOutcome[];
  /** The same as the model sees them. */
  readonly seen: readonly SeenCoupon[];
  readonly doubts: readonly RecordDoubt[];
  readonly checks: readonly CheckModel[];
}

/** Chance from which a coupon is named: of sound coupons on drawn rigs 1 in 100 reaches it, see test/rigs/shop.ts. */
export const SUSPECT = 0.3;
/** Coupons named one by one; of more only the number is told. */
const MOST_NAMED = 5;

/** What is known of one possible fault of a coupon. */
type Fault = Omit<SuspectCoupon, "coupon">;

/** Every logged coupon with the chance that it is not what its record says. */
export function suspectCoupons({
  definition,
  coordinates,
  latent,
  coupons,
  seen,
  doubts,
  checks,
}: SuspectEvidence): readonly SuspectCoupon[] {
  const chances = checks.map((check) => ({
    check,
    perDraw: makeCheckChance(check.draws, coordinates),
    doubtOf: verdictDoubt(seen, check.name),
  }));
  return coupons.map(({ id, measured, passed }, i): SuspectCoupon => {
    const doubt = doubts[i]!;
    const readings = [...doubt.readings].map(([r, { slip, mean, sd }]): Fault => {
      const link = latent.links[r]!;
      const at = (z: number): number => fromLinkScale(link, mean + z * sd);
      const edge = normalQuantile(0.975);
      return {
        chance: slip,
        likeliest: "reading",
        what: link.response,
        reading: {
          value: measured.get(link.response)!,
          foreseen: at(0),
          lower: at(-edge),
          upper: at(edge),
        },
      };
    });
    const verdicts = chances.flatMap(({ check, perDraw, doubtOf }): Fault[] => {
      const verdict = passed.get(check.name);
      if (verdict === undefined || !definition.responses.some(({ name }) => name === check.name)) return [];
      const left = doubtOf(seen[i]!);
      let wrong = 0;
      let foreseen = 0;
      check.draws.forEach(({ luck }, m) => {
        const pass = perDraw.draw(m, seen[i]!.point, EXACT);
        const right = verdict ? pass : 1 - pass;
        const slip = Math.min(0.5, luck * left);
        wrong += (slip * (1 - right)) / (slip * (1 - right) + (1 - slip) * right);
        foreseen += right;
      });
      const count = check.draws.length;
      return [
        {
          chance: wrong / count,
          likeliest: "verdict",
          what: check.name,
          verdict: { passed: verdict, foreseen: foreseen / count },
        },
      ];
    });
    const faults: readonly Fault[] = [
      ...readings,
      { chance: doubt.elsewhere, likeliest: "setting" },
      ...verdicts,
    ];
    const worst = faults.reduce((most, fault) => (fault.chance > most.chance ? fault : most));
    const sound = verdicts.reduce((product, { chance }) => product * (1 - chance), 1 - doubt.any);
    return { ...worst, coupon: id, chance: 1 - sound };
  });
}

/** Words on the coupons that may well be wrong, the likeliest first. */
export function suspectFindings(
  definition: StudyDefinition,
  suspects: readonly SuspectCoupon[],
): readonly Finding[] {
  const named = suspects.filter(({ chance }) => chance >= SUSPECT).sort((a, b) => b.chance - a.chance);
  const shown = named.slice(0, MOST_NAMED).map((suspect): Finding => {
    const { coupon, chance } = suspect;
    const response = definition.responses.find(({ name }) => name === suspect.what);
    return {
      code: "suspect-coupon",
      severity: "warning",
      message: `${coupon}: ${oddity(suspect, response)} (chance ${chance > 0.995 ? "over 99 %" : percent(chance)}); it counts for ${chance < 0.5 ? "less" : "little"} here`,
      advice: remedy(suspect, response),
      about: [coupon],
    };
  });
  const rest = named.slice(MOST_NAMED).map(({ coupon }) => coupon);
  if (rest.length === 0) return shown;
  return [
    ...shown,
    {
      code: "suspect-coupon",
      severity: "warning",
      message: `${rest.length} more coupons look wrong: ${rest.join(", ")}`,
      advice: "look at their sheets; `beadbench check` says more",
      about: rest,
    },
  ];
}

function oddity(
  { chance, likeliest, what, reading, verdict }: SuspectCoupon,
  response: Response | undefined,
): string {
  const likely = chance < 0.5 ? "may be" : "is likely";
  const unit = response?.unit ?? "1";
  if (reading !== undefined) {
    const { value, foreseen, lower, upper } = reading;
    return `${what} ${withUnit(significant(value), unit)} ${likely} a slip of the pen: the other coupons foresee ${withUnit(`${significant(foreseen)} (${significant(lower)} to ${significant(upper)})`, unit)} at its settings`;
  }
  if (verdict !== undefined && response !== undefined) {
    return `${what} ${verdictWord(response, verdict.passed)} ${likely} ticked wrongly: the other coupons give it a chance of ${percent(verdict.foreseen, 1)}`;
  }
  return likeliest === "setting"
    ? `it ${chance < 0.5 ? "may have been" : "was likely"} run at other settings than recorded: its sizes fit together, but not its settings`
    : `something about it ${chance < 0.5 ? "may be" : "is likely"} wrong`;
}

function remedy({ coupon, what, verdict, reading }: SuspectCoupon, response: Response | undefined): string {
  if (reading !== undefined && response !== undefined) {
    return `measure it again; if it was mistyped: ${correctionCommand(coupon, [what!, withUnit("<value>", response.unit)])}`;
  }
  if (verdict !== undefined && response !== undefined) {
    return `look at it again; if ticked wrongly: ${correctionCommand(coupon, [what!, verdictWord(response, !verdict.passed)])}`;
  }
  return "look at the sheet for its settings and correct them, or run it again";
}
