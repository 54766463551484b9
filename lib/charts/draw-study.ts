import { blockOf, type Confounding, dropOuts, judgeCoupon, strayReadings } from "../models/index.js";
import { inWords } from "../numeric/index.js";
import { type Study, type StudyData, scatterOf } from "../study/index.js";
import { chartCorrelations } from "./correlations.js";
import type { ChartQuantity, ChartSpec } from "./spec.js";
import { chartStations } from "./stations.js";
import { chartTimeline } from "./timeline.js";

/**
 * A study's coupons in run order, passed and failed, by block, with changes of equipment; planned ones are not shown.
 *
 * @param without - ids of coupons that were left out of what is said of the study; they are marked
 * @throws {BeadbenchError} `bad-argument` for a study without coupons that were run
 */
export function drawTimeline(
  study: Pick<Study, "definition" | "coupons" | "changes">,
  without: readonly string[] = [],
): ChartSpec {
  const coupons = study.coupons.filter(({ state }) => state !== "planned");
  const shown = new Set(coupons.map(({ id }) => id));
  return chartTimeline({
    coupons: coupons.map((coupon) => ({
      coupon: coupon.id,
      block: blockOf(coupon),
      outcome:
        coupon.state === "logged" && without.includes(coupon.id) ? "left out" : judgeCoupon(study, coupon),
    })),
    changes: study.changes.flatMap(({ before, what }) =>
      before === undefined || !shown.has(before) ? [] : [{ before, what: inWords(what) }],
    ),
  });
}

/**
 * Correlations of the settings over the coupons: near 1 or -1 two effects cannot be told apart. Undefined when fewer than
 * two settings varied.
 */
export function drawCorrelations({ factors, correlations }: Confounding): ChartSpec | undefined {
  return factors.length < 2 ? undefined : chartCorrelations({ names: factors, correlations });
}

/** Beads shown at most: more would drown the page. */
const MOST_BEADS = 12;

/**
 * Station readings along the beads that have some that look lost or mistyped, twelve beads at most; undefined when none
 * has.
 */
export function drawStations(
  { coupons }: Pick<StudyData, "coupons">,
  response: ChartQuantity,
): ChartSpec | undefined {
  const odd = [...dropOuts({ coupons }), ...strayReadings({ coupons })].filter(
    (reading) => reading.response === response.name,
  );
  const lost = new Set(odd.map(({ coupon, station }) => `${coupon}/${station}`));
  const beads = coupons.filter(({ id }) => odd.some(({ coupon }) => coupon === id)).slice(0, MOST_BEADS);
  if (beads.length === 0) return undefined;
  return chartStations({
    response,
    position: { name: "station", unit: "1" },
    beads: beads.map((coupon) => ({
      coupon: coupon.id,
      readings: scatterOf(coupon, response.name)!.readings.map((value, i) => ({
        at: i + 1,
        value,
        dropOut: lost.has(`${coupon.id}/${i + 1}`),
      })),
    })),
  });
}
