import { type Finding, grouped } from "../../errors/index.js";
import { brief, percent, significant } from "../../numeric/figures/index.js";
import type { Coupon, StudyData, StudyDefinition } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
import { groupBySettings, listed, type MassBalance, openBalance, strangeness } from "../balance/index.js";
import { blockOf } from "../physical/index.js";
import { WIRE_DIAMETER, type Written, type WrittenStudy, writtenStudy } from "./quantities.js";
import { strayReadings } from "./readings.js";
import { type Ground, unitWeigher, type Weighed, type WeighedReading } from "./weigh-units.js";

/** Another unit, or a slipped decimal mark, that a column's numbers may have been written in. */
export interface UnitHypothesis {
  /** Column or field whose unit may be wrong. */
  readonly quantity: string;
  readonly stated: string;
  /** The unit, or `ten times too high` or `ten times too low`. */
  readonly likely: string;
  /** Its chance among all readings, the stated one included. */
  readonly chance: number;
  /** What speaks for it, strongest first: medians over the coupons as stated and under the reading. */
  readonly grounds: readonly Ground[];
}

/** Chance of a slip from which it is named, and from which the study is refused until it is mended. */
const NAMED = 0.2;
const REFUSED = 0.98;

/**
 * The units a study's columns may have been written in instead of those stated, likeliest first, weighed by everything
 * the study says: usual ranges, physics, ranges of the study, the plan. Those less likely than 1 in 1000 are left out.
 *
 * @example
 * const [likeliest] = unitHypotheses(openStudy("my-study"));
 */
export function unitHypotheses(study: StudyData): readonly UnitHypothesis[] {
  if (study.coupons.length === 0) return [];
  const written = writtenStudy(study);
  return unitWeigher(written)(written.coupons)
    .readings.filter(({ chance }) => chance > 1e-3)
    .map(({ reading, chance, grounds }) => ({
      quantity: reading.quantity.column,
      stated: reading.quantity.unit,
      likely: reading.likely,
      chance,
      grounds,
    }));
}

/** Coupons written down alike, and the reading of their numbers. */
interface Part {
  readonly coupons: readonly Written[];
  readonly weighed: Weighed;
}

/** What is said of units, and which columns are thereby explained. */
export interface UnitFindings {
  readonly findings: readonly Finding[];
  /** Columns with a slip, each with its coupons. */
  readonly explained: ReadonlyMap<string, ReadonlySet<string>>;
}

/**
 * Findings about columns in another unit than stated, one for each slip, and about coupons whose fed metal does not
 * fit the bead measured though no unit explains it.
 *
 * A coupon whose repeats at the same settings balance cannot have a slipped setting: its measurement is odd.
 */
export function unitSlipFindings(
  { definition, coupons }: StudyData,
  balances: readonly MassBalance[],
): UnitFindings {
  const study = writtenStudy({ definition, coupons });
  const slips = coupons.length === 0 ? [] : slippedParts(study);
  const explained = new Map<string, ReadonlySet<string>>(
    slips.map(({ weighed, coupons: part }) => [
      weighed.readings[0]!.reading.quantity.column,
      new Set(part.map(({ coupon }) => coupon.id)),
    ]),
  );
  const slipped = new Set(slips.flatMap(({ coupons: part }) => part.map(({ coupon }) => coupon.id)));
  return {
    findings: [
      ...slips.map((part) => slipFinding(part, coupons.length)),
      ...openBalances(
        definition,
        balances.filter(({ coupon }) => !slipped.has(coupon)),
        coupons,
      ),
    ],
    explained,
  };
}

/** The parts of a study with a slip: all of it, or the coupons of a block, of a file, of a way of writing. */
function slippedParts(study: WrittenStudy): readonly Part[] {
  const weigh = unitWeigher(study);
  const weighed = weigh(study.coupons);
  const whole = { coupons: study.coupons, weighed };
  if (1 - weighed.sound >= REFUSED) return [whole];
  const found = partsOf(study)
    .map((part): Part => ({ coupons: part, weighed: weigh(part) }))
    .filter(({ weighed: { sound } }) => 1 - sound >= NAMED)
    .sort((a, b) => a.weighed.sound - b.weighed.sound);
  const taken = new Set<Written>();
  const parts = found.filter(({ coupons }) => {
    if (coupons.some((one) => taken.has(one))) return false;
    for (const one of coupons) taken.add(one);
    return true;
  });
  if (parts.length > 0 && parts[0]!.weighed.sound < weighed.sound) return parts;
  return 1 - weighed.sound >= NAMED ? [whole] : parts;
}

/** Groups of coupons that may have been written down by another hand: by block, by units, by time. */
function partsOf({ coupons }: WrittenStudy): readonly (readonly Written[])[] {
  const ways: readonly ((coupon: Coupon) => string)[] = [
    blockOf,
    ({ statedUnits }) => JSON.stringify(statedUnits ?? {}),
    ({ time }) => time,
  ];
  const parts = new Map<string, readonly Written[]>();
  for (const way of ways) {
    for (const group of grouped(coupons, ({ coupon }) => way(coupon)).values()) {
      if (group.length < 2 || group.length > coupons.length - 2) continue;
      parts.set(group.map(({ coupon }) => coupon.id).join("\n"), group);
    }
  }
  return [...parts.values()];
}

function slipFinding({ coupons, weighed }: Part, total: number): Finding {
  const [best, ...others] = weighed.readings;
  const { quantity, likely, isUnit } = best!.reading;
  const who = coupons.map(({ coupon }) => coupon.id);
  const where =
    coupons.length === total ? "on all coupons" : `on ${coupons.length} of ${total} coupons (${listed(who)})`;
  const said = isUnit
    ? `${quantity.column} is stated in ${quantity.unit} but looks like ${likely}`
    : `${quantity.column} looks ${likely}`;
  const grounds = best!.grounds
    .slice(0, 2)
    .map((ground) => groundText(ground, isUnit ? `read as ${likely}` : "mended"));
  const also = others
    .filter(({ chance }) => chance > 0.01)
    .slice(0, 3)
    .map(otherText);
  const sound = weighed.sound > 0.01 ? [`right as stated (chance ${percent(weighed.sound)})`] : [];
  const less = [...also, ...sound];
  return {
    code: "unit-slip",
    severity: 1 - weighed.sound >= REFUSED ? "error" : "warning",
    message: `${said} ${where}, ${oddsText(best!.chance)}${grounds.length === 0 ? "" : `: ${grounds.join("; ")}`}`,
    advice: `${less.length === 0 ? "" : `less likely: ${less.join(", ")}. `}${
      quantity.column === WIRE_DIAMETER || quantity.constant === true
        ? `Mend ${quantity.column === WIRE_DIAMETER ? "wire.diameter" : `rig.settings.${quantity.column}`} in study.json`
        : `Mend the column header and import again, or log a correction for ${coupons.length === 1 ? "the coupon" : "these coupons"}: beadbench log <study> ${who[0]} --correct ${quantity.column}="<value> ${isUnit ? likely : quantity.unit}" --why "wrong unit"`
    }`,
    about: who,
  };
}

function otherText({ reading, chance }: WeighedReading): string {
  const { quantity, likely, isUnit } = reading;
  return `${quantity.column} ${isUnit ? `in ${likely}` : likely} (chance ${percent(chance)})`;
}

function oddsText(chance: number): string {
  const odds = chance / (1 - chance);
  if (odds > 1000) return "odds over 1000 to 1";
  return odds >= 1 ? `odds ${brief(odds, 2)} to 1` : `odds 1 to ${brief(1 / odds, 2)}`;
}

function groundText({ label, unit, usual, stated, mended }: Ground, mend: string): string {
  return `${label} is ${withUnit(significant(stated), unit)} as stated, ${significant(mended)} ${mend}, usually about ${brief(usual, 2)}`;
}

/**
 * Distance from a usual bead below which a coupon is merely odd (a flat puddle, a balled bead) and nothing else is
 * suspected.
 */
const SLIP_DISTANCE = 1.5;

function openBalances(
  definition: StudyDefinition,
  balances: readonly MassBalance[],
  coupons: readonly Coupon[],
): readonly Finding[] {
  const odd = balances.filter(({ plausible }) => !plausible);
  if (odd.length === 0) return [];
  const most = odd.length > balances.length / 2;
  const contradicted = new Set([
    ...strayReadings({ coupons }).map(({ coupon }) => coupon),
    ...(most ? [] : couponsWithSoundRepeats(balances, coupons)),
  ]);
  const isFar = (balance: MassBalance): boolean =>
    !contradicted.has(balance.coupon) && (most || strangeness(balance) > SLIP_DISTANCE);
  return [odd.filter(isFar), odd.filter((balance) => !isFar(balance))]
    .filter((group) => group.length > 0)
    .map((group) => openBalance(definition, group, balances.length));
}

function couponsWithSoundRepeats(
  balances: readonly MassBalance[],
  coupons: readonly Coupon[],
): ReadonlySet<string> {
  const sound = new Set(balances.filter(({ plausible }) => plausible).map(({ coupon }) => coupon));
  return new Set(
    groupBySettings({ coupons })
      .filter((group) => group.some(({ id }) => sound.has(id)))
      .flatMap((group) => group.map(({ id }) => id)),
  );
}
