import type { Finding } from "../../errors/index.js";
import { median, robustStandardDeviation, settingDigits, significant } from "../../numeric/figures/index.js";
import { counted } from "../../numeric/index.js";
import { measuredResults, type StudyData } from "../../study/record/index.js";

/** One station reading that looks like a lost signal rather than metal. */
export interface DropOut {
  readonly coupon: string;
  readonly response: string;
  /** 1-based station. */
  readonly station: number;
  readonly reading: number;
  /** Median of the coupon's readings. */
  readonly usual: number;
}

/**
 * A reading counts as a drop-out below this share of the coupon's median, when it also lies beyond 5 robust
 * standard deviations. Common practice, no source.
 */
export const DROP_OUT_SHARE = 0.6;
const ROBUST_DISTANCE = 5;

/**
 * Station readings that look like drop-outs: below 0.6 of the coupon's median and more than five robust standard
 * deviations from it (common practice, no source), in coupons of four readings or more. They are reported and kept,
 * never removed.
 */
export function dropOuts({ coupons }: Pick<StudyData, "coupons">): readonly DropOut[] {
  return coupons.flatMap((coupon) =>
    measuredResults(coupon).flatMap(([response, { scatter }]) => {
      const readings = scatter?.readings ?? [];
      if (readings.length < 4) return [];
      const usual = median(readings);
      const spread = Math.max(robustStandardDeviation(readings), 0.01 * Math.abs(usual));
      return readings.flatMap((reading, i) =>
        reading < DROP_OUT_SHARE * usual && (usual - reading) / spread > ROBUST_DISTANCE
          ? [{ coupon: coupon.id, response, station: i + 1, reading, usual }]
          : [],
      );
    }),
  );
}

/** A reading far above the others of its coupon, such as 180 among 1.8. */
export interface StrayReading extends DropOut {
  /** Power of ten by which the decimal mark seems to have slipped; absent when it is no power of ten. */
  readonly decimals?: number;
}

/** A reading this many times the coupon's median, or more, is no metal. Common practice, no source. */
const STRAY_FACTOR = 3;

/**
 * Station readings that no bead can have beside the others: three times the coupon's median or more (common practice, no
 * source), in coupons of three readings or more. They are reported and kept, never removed.
 */
export function strayReadings({ coupons }: Pick<StudyData, "coupons">): readonly StrayReading[] {
  return coupons.flatMap((coupon) =>
    measuredResults(coupon).flatMap(([response, { scatter }]) => {
      const readings = scatter?.readings ?? [];
      if (readings.length < 3) return [];
      const usual = median(readings);
      return readings.flatMap((reading, i): StrayReading[] => {
        if (!(usual > 0) || reading < STRAY_FACTOR * usual) return [];
        const power = Math.log10(reading / usual);
        const decimals = Math.round(power);
        return [
          {
            coupon: coupon.id,
            response,
            station: i + 1,
            reading,
            usual,
            ...(Math.abs(power - decimals) < 0.1 ? { decimals } : {}),
          },
        ];
      });
    }),
  );
}

/** Findings on drop-outs and on stray readings. */
export function readingFindings({ coupons }: Pick<StudyData, "coupons">): readonly Finding[] {
  const lost = dropOuts({ coupons });
  const findings: Finding[] = [];
  if (lost.length > 0) {
    const who = [...new Set(lost.map(({ coupon }) => coupon))];
    const examples = lost
      .slice(0, 4)
      .map(
        (d) =>
          `${d.coupon} ${d.response} station ${d.station}: ${settingDigits(d.reading)} among ${significant(d.usual)}`,
      );
    findings.push({
      code: "drop-out",
      severity: "warning",
      message: `${counted(lost.length, "station reading")} on ${counted(who.length, "coupon")} look like drop-outs or run-in ends: ${examples.join("; ")}${lost.length > 4 ? "; ..." : ""}`,
      advice:
        "they are kept in the means; measure these stations again, or leave the first 20 mm and last 15 mm of a bead out, and log a correction",
      about: who,
    });
  }
  for (const { coupon, response, station, reading, usual, decimals } of strayReadings({ coupons })) {
    findings.push({
      code: "stray-reading",
      severity: "error",
      message: `${coupon}: ${response} station ${station} reads ${settingDigits(reading)} among ${significant(usual)}${decimals === undefined ? "" : `; the decimal mark seems to have slipped by ${decimals}, ${settingDigits(reading / 10 ** decimals)} would fit`}`,
      advice: `look at the coupon and log a correction: beadbench log <study> ${coupon} --correct ${response}="..." --why "..."`,
      about: [coupon],
    });
  }
  return findings;
}
