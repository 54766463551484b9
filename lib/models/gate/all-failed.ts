import type { Finding } from "../../errors/index.js";
import { counted, inWords } from "../../numeric/figures/index.js";
import { isGood, resultOf, type StudyData } from "../../study/record/index.js";
import { checksOf } from "../physical/index.js";

/** Coupons with a verdict from which on it says something that none passed. Common practice, no source. */
const FEWEST = 3;

/** That no coupon so far passed its checks, said plainly with what to do; nothing where one did, or too few were judged. */
export function allFailed({ definition, coupons }: StudyData): readonly Finding[] {
  const checks = checksOf(definition);
  const failures = coupons
    .filter(({ state }) => state === "logged")
    .flatMap((coupon) => {
      const verdicts = checks.flatMap(({ name, spec }) => {
        const result = resultOf(coupon, name);
        const good = result === undefined ? undefined : isGood(result, spec);
        return good === undefined ? [] : [{ name, good }];
      });
      return verdicts.length === 0 ? [] : [verdicts.flatMap(({ name, good }) => (good ? [] : [name]))];
    });
  if (failures.length < FEWEST || failures.some((failed) => failed.length === 0)) return [];
  const counts = checks
    .map(({ name }) => ({ name, count: failures.filter((failed) => failed.includes(name)).length }))
    .filter(({ count }) => count > 0);
  return [
    {
      code: "all-failed",
      severity: "warning",
      message: `none of ${counted(failures.length, "coupon")} passed: ${counts.map(({ name, count }) => `${inWords(name)} failed on ${count}`).join(", ")}; whether any setting in these ranges does is not known`,
      advice:
        "before more coupons look for what spoils them all: gas and its flow, cleanliness, tungsten or tip, return lead, wire feed; then try wider ranges in study.json",
      about: counts.map(({ name }) => name),
    },
  ];
}
