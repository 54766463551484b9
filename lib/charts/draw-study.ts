import { type Confounding, dropOuts, judgeCoupon } from "../models/index.js";
import type { Coupon, Study } from "../study/index.js";
import { chartCorrelations } from "./correlations.js";
import type { ChartQuantity, ChartSpec } from "./spec.js";
import { chartStations } from "./stations.js";
import { chartTimeline } from "./timeline.js";

/** The block a coupon was run in: its first block column, else its day of logging. */
export function blockOf(coupon: Coupon): string {
  const [first] = Object.entries(coupon.blocks);
  return first === undefined ? coupon.time.slice(0, 10) : `${first[0]} ${first[1]}`;
}

/** A study's coupons in run order, passed and failed, with changes of equipment. */
export function drawTimeline(study: Pick<Study, "definition" | "coupons" | "changes">): ChartSpec {
  const coupons = study.coupons.filter(({ state }) => state !== "planned");
  const shown = new Set(coupons.map(({ id }) => id));
  return chartTimeline({
    coupons: coupons.map((coupon) => ({
      coupon: coupon.id,
      day: blockOf(coupon),
      outcome: judgeCoupon(study.definition, coupon),
    })),
    changes: study.changes.flatMap(({ before, what }) =>
      before === undefined || !shown.has(before) ? [] : [{ before, what: what.replaceAll("_", " ") }],
    ),
  });
}

/** How settings moved together; undefined when fewer than two varied. */
export function drawCorrelations({ factors, correlations }: Confounding): ChartSpec | undefined {
  return factors.length < 2 ? undefined : chartCorrelations({ names: factors, correlations });
}

/** Station readings along beads with drop-outs marked; undefined when none was read at stations. */
export function drawStations(response: ChartQuantity, coupons: readonly Coupon[]): ChartSpec | undefined {
  const beads = coupons.filter(({ scatter }) => scatter[response.name] !== undefined);
  if (beads.length === 0) return undefined;
  const lost = new Set(
    dropOuts(beads)
      .filter((drop) => drop.response === response.name)
      .map(({ coupon, station }) => `${coupon}/${station}`),
  );
  return chartStations({
    response,
    position: { name: "station", unit: "1" },
    beads: beads.map(({ id, scatter }) => ({
      coupon: id,
      readings: scatter[response.name]!.readings.map((value, i) => ({
        at: i + 1,
        value,
        dropOut: lost.has(`${id}/${i + 1}`),
      })),
    })),
  });
}
