import { chosenQuality, formTitle, judgeCoupon, type OutcomeModel, type StudyFit } from "../models/index.js";
import { counted, levelPercent } from "../numeric/index.js";
import type { Study } from "../study/index.js";

/** What the chances and predictions of the outcome model rest on, and what their intervals hold. */
export function modelBasis({ coupons, latent, checks, drawCount }: OutcomeModel): string {
  const physical = latent.priors.some(({ role }) => role !== "response");
  const parts = [
    ...(physical ? ["sizes by an energy balance and conservation of mass, corrected by the coupons"] : []),
    ...(!physical && latent.priors.length > 0
      ? ["results by laws of the settings that the coupons shape"]
      : []),
    ...(checks.length > 0 ? ["checks by thresholds drawn from what passed and failed"] : []),
  ];
  return [
    `Rests on ${counted(coupons, "coupon")}. Outcome model: ${parts.join("; ")}.`,
    "Ranges of results hold 95 % of single coupons on days to come, doubt about the model counted.",
    `Intervals of a chance hold 90 % of what the coupons leave open (${drawCount} posterior draws).`,
  ].join(" ");
}

/** What the form fitted to one response rests on. */
export function fitBasis(fit: StudyFit, response: string): string {
  const { coupons, form, level } = chosenQuality(fit, response);
  const share = levelPercent(level);
  return `Rests on ${counted(coupons.length, "coupon")} measured. Form: ${formTitle(form)}, chosen by the error on coupons left out. Bands and whiskers: ${share} confidence for the mean, ${share} prediction for a single coupon.`;
}

/** How many coupons there are, and how they came out. */
export function couponBasis(study: Study): string {
  const verdicts = study.coupons.map((coupon) => judgeCoupon(study, coupon));
  const count = (verdict: string): number => verdicts.filter((v) => v === verdict).length;
  const { coupons } = study;
  const logged = coupons.filter(({ state }) => state === "logged").length;
  const planned = coupons.filter(({ state }) => state === "planned").length;
  return `${counted(logged, "coupon")} logged: ${count("passed")} good, ${count("failed")} not, ${logged - count("passed") - count("failed")} not judged; ${planned} planned, ${count("voided")} voided and left out. Good is one with every measured result within its specification and every check passed.`;
}

/** Who was left out because this was asked for; nothing where nobody was. */
export const leftOutText = (without: readonly string[] = []): string =>
  without.length === 0
    ? ""
    : `Left out of fit, model and window, as asked: ${without.join(", ")}; "What was checked" and "Record" hold every coupon.`;
