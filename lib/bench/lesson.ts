import { BeadbenchError, onlyDefined, ownValue } from "../errors/index.js";
import { judgeCoupon, strayReadings, type Verdict } from "../models/index.js";
import { inWords, percent, significant } from "../numeric/index.js";
import { verdictWord } from "../study/definition/index.js";
import { type Coupon, kindRules, measuredOf, type Response, resultOf, type Study } from "../study/index.js";
import { withUnit } from "../units/index.js";
import type { ForeseenCoupon } from "../window/index.js";
import { label, readingsOf } from "./columns.js";
import { standingEntries } from "./day.js";
import type { Foresight } from "./foresight.js";
import type { BenchLesson, BenchLessonPart } from "./wire/index.js";

/** A verdict is a surprise where its chance was below this, and less likely than not up to the next. */
const SURPRISE = 0.05;
const UNLIKELY = 0.4;

/**
 * What a coupon taught: each result beside what the coupons logged before it foresaw. A value outside the range that
 * holds 19 of 20 is suspect, which one value in twenty is by chance alone.
 *
 * @throws {BeadbenchError} `not-found` for a coupon that was not logged
 */
export function lessonOf(study: Study, id: string, foresight: Foresight): BenchLesson {
  const coupon = study.coupons.find((one) => one.id === id && one.state === "logged");
  if (coupon === undefined) throw new BeadbenchError("not-found", `there is no logged coupon ${id}`);
  const before = coupons(study, id);
  const [foreseen] = answers(foresight.of({ ...study, coupons: before }, [coupon]));
  const parts = study.definition.responses.flatMap((response): BenchLessonPart[] => {
    const part =
      response.kind === "passFail"
        ? verdictPart(response, coupon, foreseen)
        : measuredPart(study, response, { coupon, foreseen });
    return part === undefined ? [] : [part];
  });
  const suspects = parts.filter(({ verdict }) => verdict === "suspect");
  return {
    coupon: id,
    headline: headline({ id, verdict: verdictOf(study, coupon) }, parts),
    suspect: suspects.length > 0,
    parts,
  };
}

const answers = (found: readonly ForeseenCoupon[] | string): readonly ForeseenCoupon[] =>
  typeof found === "string" ? [] : found;

/** The coupons that stood in the journal before one was logged. */
function coupons(study: Study, id: string): readonly Coupon[] {
  const firstOf = (other: string) => standingEntries(study.entries, other)[0];
  const own = firstOf(id);
  return study.coupons.filter((other) => {
    const first = firstOf(other.id);
    return other.state === "logged" && first !== undefined && own !== undefined && first.seq < own.seq;
  });
}

/** Whether a coupon is a good one; not judged where the study does not say what is good. */
function verdictOf(study: Study, coupon: Coupon): Verdict {
  const says = study.definition.responses.some(
    ({ kind, spec }) => !kindRules(kind).spec || spec !== undefined,
  );
  return says ? judgeCoupon(study, coupon) : "not judged";
}

/** The whole in a sentence: was it foreseen, and is it a good one. */
function headline(
  { id, verdict }: { readonly id: string; readonly verdict: Verdict },
  parts: readonly BenchLessonPart[],
): string {
  const named = (wanted: BenchLessonPart["verdict"]): string =>
    parts
      .filter((part) => part.verdict === wanted)
      .map((part) => part.label.toLowerCase())
      .join(" and ");
  if (parts.length === 0) return `${id} is logged without a result.`;
  if (named("suspect") !== "") return `${id} is suspect: ${named("suspect")} did not come out as foreseen.`;
  const good = { passed: ", and is a good one", failed: ", and is not a good one" };
  const judged = verdict === "passed" || verdict === "failed" ? good[verdict] : "";
  if (parts.every((part) => part.verdict === "new"))
    return `${id} is logged; nothing was foreseen of it${judged}.`;
  if (named("unlikely") !== "")
    return `${id} came out less likely, yet possible: ${named("unlikely")}${judged}.`;
  return `${id} came out as expected${judged}.`;
}

function measuredPart(
  study: Study,
  { name, unit }: Response,
  { coupon, foreseen }: { readonly coupon: Coupon; readonly foreseen: ForeseenCoupon | undefined },
): BenchLessonPart | undefined {
  const readings = readingsOf(coupon, name);
  if (readings.length === 0) return undefined;
  const value = measuredOf(coupon, name) ?? readings[0]!;
  const shown = (one: number): string => withUnit(significant(one), unit);
  const found =
    readings.length === 1 ? shown(value) : `${shown(value)} (mean of ${readings.length} stations)`;
  const range = foreseen?.responses.find(({ response }) => response === name);
  const stray = strayReadings({ coupons: [coupon] }).find(({ response }) => response === name);
  const part = { name, label: label(name), found };
  if (stray !== undefined)
    return {
      ...part,
      verdict: "suspect",
      advice: `station ${stray.station} (${shown(stray.reading)}) is far above the others (${shown(stray.usual)}): measure it again`,
    };
  if (range === undefined) return { ...part, verdict: "new" };
  const text = `${withUnit(`${significant(range.lower)} to ${significant(range.upper)}`, unit)}`;
  if (value >= range.lower && value <= range.upper) return { ...part, foreseen: text, verdict: "expected" };
  const side = value > range.upper ? "above" : "below";
  const settings = study.definition.factors.map((factor) => inWords(factor.name)).join(", ");
  return {
    ...part,
    foreseen: text,
    verdict: "suspect",
    advice: `${side} what 19 of 20 such coupons show: measure the ${inWords(name)} again at every station; if it stands, read what the rig really ran (${settings}). One good value in twenty falls outside by chance.`,
  };
}

function verdictPart(
  response: Response,
  coupon: Coupon,
  foreseen: ForeseenCoupon | undefined,
): BenchLessonPart | undefined {
  const result = resultOf(coupon, response.name);
  if (result?.kind !== "passFail") return undefined;
  const { passed } = result;
  const pass = ownValue(foreseen?.checks, response.name);
  const chance = pass === undefined ? undefined : passed ? pass : 1 - pass;
  const surprise = chance !== undefined && chance < SURPRISE;
  return {
    name: response.name,
    label: label(response.name),
    found: `${verdictWord(response, passed)} (${passed ? "passed" : "failed"})`,
    ...(pass === undefined ? {} : { foreseen: `chance to pass ${percent(pass)}` }),
    verdict: surprise
      ? "suspect"
      : chance === undefined
        ? "new"
        : chance < UNLIKELY
          ? "unlikely"
          : "expected",
    ...onlyDefined({
      advice: surprise
        ? `${passed ? "a failure" : "a pass"} was all but sure: look at the bead once more, and at what the rig really ran`
        : undefined,
    }),
  };
}
