import { BeadbenchError } from "../../errors/index.js";
import { groupBySettings } from "../../models/balance/index.js";
import { type Coupon, measuredOf, type Study } from "../../study/index.js";
import { suggestion } from "../../study/shape/index.js";

/** One reading of something that should stay as it is. */
export interface ControlReading {
  /** Coupon, date, or number in the file. */
  readonly label: string;
  readonly value: number;
  /** What was changed before it. */
  readonly change?: string;
}

/** Readings at one setting of a study. */
export interface ControlSeries {
  readonly response: string;
  readonly unit: string;
  readonly readings: readonly ControlReading[];
  /** How the coupons were chosen: planned as controls, or the setting most often repeated. */
  readonly chosen: "control" | "most repeated";
  readonly settings: Coupon["settings"];
}

/** Fewest readings in which a drift can be looked for. */
export const FEWEST_READINGS = 4;

/**
 * The coupons of a study that were run at one and the same setting, in run order, with the changes of equipment logged
 * between them: those planned as control coupons where there are enough, else those of the setting most often repeated.
 * Voided coupons are left out; first layers and walls are not mixed.
 *
 * @param response - a measured response; default the first that has enough of them
 * @throws {BeadbenchError} `bad-argument` for a response that is not measured, or with fewer than 4 such coupons
 */
export function controlSeries(
  study: Pick<Study, "definition" | "coupons" | "changes">,
  response?: string,
): ControlSeries {
  const measured = study.definition.responses.filter(({ kind }) => kind === "measured");
  if (response !== undefined && !measured.some(({ name }) => name === response)) {
    const names = measured.map(({ name }) => name);
    throw new BeadbenchError(
      "bad-argument",
      `the study measures no response "${response}"${suggestion(response, names) || `; measured: ${names.join(", ") || "none"}`}`,
    );
  }
  const wanted = measured.filter(({ name }) => response === undefined || name === response);
  const found = wanted.map(({ name, unit }) => ({ name, unit, ...couponsOf(study, name) }));
  const best = found.find(({ coupons }) => coupons.length >= FEWEST_READINGS);
  if (best === undefined) {
    const most = Math.max(0, ...found.map(({ coupons }) => coupons.length));
    throw new BeadbenchError(
      "bad-argument",
      `a drift of ${response ?? "the rig"} needs at least ${FEWEST_READINGS} coupons at one setting with it measured, and there ${most === 1 ? "is 1" : `are ${most || "none"}`}; run one control coupon at a fixed setting at the start of every session (plan --sessions puts them in)`,
    );
  }
  const { name, unit, coupons, chosen } = best;
  return {
    response: name,
    unit,
    readings: withChanges(study, coupons, name),
    chosen,
    settings: coupons[0]!.settings,
  };
}

function couponsOf(
  { coupons }: Pick<Study, "coupons">,
  response: string,
): { readonly coupons: readonly Coupon[]; readonly chosen: ControlSeries["chosen"] } {
  const used = coupons.filter(
    (coupon) => coupon.state === "logged" && measuredOf(coupon, response) !== undefined,
  );
  const largest = (some: readonly Coupon[]): readonly Coupon[] =>
    groupBySettings({ coupons: some }).reduce(
      (a, b) => (b.length > a.length ? b : a),
      [] as readonly Coupon[],
    );
  const planned = largest(used.filter(({ role }) => role === "control"));
  return planned.length >= FEWEST_READINGS
    ? { coupons: planned, chosen: "control" }
    : { coupons: largest(used), chosen: "most repeated" };
}

/** The readings, each with what was changed since the one before it. */
function withChanges(
  study: Pick<Study, "coupons" | "changes">,
  coupons: readonly Coupon[],
  response: string,
): readonly ControlReading[] {
  const orderOf = new Map(study.coupons.map(({ id, order }) => [id, order]));
  const before = coupons.map((): string[] => []);
  for (const { what, before: next, time } of study.changes) {
    const order = next === undefined ? undefined : orderOf.get(next);
    const place = coupons.findIndex((coupon) =>
      order === undefined ? coupon.time >= time : coupon.order >= order,
    );
    if (place >= 0 && !before[place]!.includes(what)) before[place]!.push(what);
  }
  return coupons.map((coupon, i) => ({
    label: coupon.id,
    value: measuredOf(coupon, response)!,
    ...(before[i]!.length === 0 ? {} : { change: before[i]!.join(", ") }),
  }));
}
