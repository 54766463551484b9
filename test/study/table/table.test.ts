import { describe, expect, test } from "vitest";
import { type Coupon, parseStudyDefinition, type Study, type StudyData } from "../../../lib/study/index.js";
import {
  couponTable,
  groupRows,
  incidentTable,
  summariseResponses,
  tallyIncidents,
} from "../../../lib/study/table/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { exampleDefinition, faultsOf } from "../support.js";

const definition = parseStudyDefinition(exampleDefinition, "study.json");

/** A logged coupon with a bead width and the given changes. */
function coupon(order: number, width: number | undefined, changes: Partial<Coupon> = {}): Coupon {
  return {
    id: `C${String(order).padStart(3, "0")}`,
    state: "logged",
    order,
    blocks: {},
    settings: { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" },
    context: {},
    results: width === undefined ? {} : { bead_width: { kind: "measured", value: width } },
    notes: [],
    time: "2026-03-02T08:30:00Z",
    seq: order,
    ...changes,
  };
}

const studyOf = (coupons: readonly Coupon[]): StudyData => ({ definition, coupons });

describe("couponTable", () => {
  test("puts coupons in run order whatever order they come in, those not yet run and voided ones too", () => {
    const coupons = [
      coupon(3, 5.5),
      coupon(1, 5, { role: "centre" }),
      coupon(4, undefined, { state: "planned" }),
      coupon(2, 9, { state: "voided" }),
    ];
    const table = couponTable(studyOf(coupons));
    expect(table.array("coupon")).toEqual(["C001", "C002", "C003", "C004"]);
    expect(table.array("state")).toEqual(["logged", "voided", "logged", "planned"]);
    expect(table.array("role")).toEqual(["centre", null, null, null]);
    expect(table.array("bead_width")).toEqual([5, 9, 5.5, null]);
  });

  test("keeps a measured 0, a failed verdict and a grade of 0 apart from what was not told", () => {
    const none: Coupon["results"] = {
      bead_height: { kind: "measured", value: 0 },
      sound_bead: { kind: "passFail", passed: false },
      looks: { kind: "grade", grade: 0 },
    };
    const table = couponTable(
      studyOf([
        coupon(1, undefined, { results: none, blocks: { day: "2" } }),
        coupon(2, undefined, { settings: { current: 90 } }),
      ]),
    );
    const column = (name: string) => table.array(name);
    expect(["bead_height", "sound_bead", "looks"].map(column)).toEqual([
      [0, null],
      [false, null],
      [0, null],
    ]);
    expect(["day", "tungsten_grind", "cup"].map(column)).toEqual([
      ["2", null],
      [null, null],
      ["small", null],
    ]);
  });

  test("gives a quantity kept beside the settings in the unit it was first logged in", () => {
    const plate = (value: number, unit: string) => ({ context: { plate_temperature: { value, unit } } });
    const coupons = [coupon(1, 5), coupon(2, 5, plate(20, "degC")), coupon(3, 5, plate(300, "K"))];
    const [none, first, second] = couponTable(studyOf(coupons)).array("plate_temperature") as number[];
    expect([none, first]).toEqual([null, 20]);
    // 0 degC is 273.15 K (BIPM, The International System of Units).
    expectDigits(second!, 26.85, 13);
  });

  test("has columns for the scatter only of responses read at several stations", () => {
    const read: Coupon["results"] = {
      bead_height: { kind: "measured", value: 2.2, scatter: { readings: [2, 2.1, 2.4, 2.3], sd: 0.18 } },
    };
    const names = couponTable(studyOf([coupon(1, 5), coupon(2, 5, { results: read })])).columnNames();
    expect(names).toContain("bead_height_sd");
    expect(names).toContain("bead_height_readings");
    expect(names.filter((name) => name.startsWith("bead_width"))).toEqual(["bead_width"]);
  });
});

describe("summariseResponses", () => {
  const days = ["1", "1", "2", "2", "2", "1", "3"];
  const widths = [4.8, 5.1, 5.3, 5.9, 4.4, 5.0, 6.2];

  // R 4.2.2: aggregate(w, list(day), function(v) c(length(v), mean(v), sd(v), min(v), max(v))).
  test("agrees with R's figures by day, leaving out what is voided, planned or not measured", () => {
    const rows = summariseResponses(
      studyOf([
        ...widths.map((width, i) => coupon(i + 1, width, { blocks: { day: days[i]! } })),
        coupon(8, 50, { state: "voided", blocks: { day: "1" } }),
        coupon(9, 60, { state: "planned", blocks: { day: "2" } }),
        coupon(10, undefined, { blocks: { day: "3" } }),
      ]),
      ["day"],
    );
    const fromR = [
      ["1", 3, 4.966666666666667, 0.152752523165195, 4.8, 5.1],
      ["2", 3, 5.2, 0.754983443527075, 4.4, 5.9],
      ["3", 1, 6.2, undefined, 6.2, 6.2],
    ] as const;
    expect(rows).toHaveLength(fromR.length);
    for (const [i, [day, count, mean, sd, lowest, highest]] of fromR.entries()) {
      const row = rows[i]!;
      expect(row).toMatchObject({ group: { day }, response: "bead_width", coupons: count, lowest, highest });
      expectDigits(row.mean, mean, 14, `mean of day ${day}`);
      if (sd === undefined) expect(row).not.toHaveProperty("sd");
      else expectDigits(row.sd!, sd, 13, `sd of day ${day}`);
    }
  });

  // NIST StRD, univariate, NumAcc3 (from memory: 1000000.2, then .1 and .3 in turn, 1001 in all): certified mean
  // 1000000.2 and sd 0.1. Doubles near a million hold the readings to 1e-10, which leaves R's own sd() 9.5 digits.
  test("loses no digits of a small scatter upon a large mean", () => {
    const values = Array.from({ length: 1001 }, (_, i) =>
      i === 0 ? 1000000.2 : i % 2 ? 1000000.1 : 1000000.3,
    );
    const [row] = summariseResponses(studyOf(values.map((value, i) => coupon(i + 1, value))));
    expectDigits(row!.mean, 1000000.2, 14);
    expectDigits(row!.sd!, 0.1, 8);
  });

  test("splits the whole into its groups: counts, sums, ranges and squares come together again", () => {
    const measured = fc.record({
      width: fc.option(fc.integer({ min: 1, max: 200 }), { nil: undefined }),
      day: fc.constantFrom("1", "2", "10"),
      cup: fc.constantFrom("small", "large"),
    });
    fc.assert(
      fc.property(fc.array(measured, { minLength: 1, maxLength: 30 }), (beads) => {
        const study = studyOf(
          beads.map(({ width, day, cup }, i) =>
            coupon(i + 1, width === undefined ? undefined : width / 10, {
              blocks: { day },
              settings: { current: 120, cup },
            }),
          ),
        );
        const [whole] = summariseResponses(study);
        const parts = summariseResponses(study, ["day", "cup"]);
        if (whole === undefined) {
          expect(parts).toEqual([]);
          return;
        }
        const total = (of: (part: (typeof parts)[number]) => number) =>
          parts.reduce((sum, part) => sum + of(part), 0);
        expect(total(({ coupons }) => coupons)).toBe(whole.coupons);
        expect(total(({ coupons, mean }) => coupons * mean)).toBeCloseTo(whole.coupons * whole.mean, 8);
        expect(Math.min(...parts.map(({ lowest }) => lowest))).toBe(whole.lowest);
        expect(Math.max(...parts.map(({ highest }) => highest))).toBe(whole.highest);
        // Sum of squares within the groups and between them, as in an analysis of variance.
        const within = total(({ coupons, sd }) => (coupons - 1) * (sd ?? 0) ** 2);
        const between = total(({ coupons, mean }) => coupons * (mean - whole.mean) ** 2);
        expect(within + between).toBeCloseTo((whole.coupons - 1) * (whole.sd ?? 0) ** 2, 7);
      }),
    );
  });

  test("groups by a response without summing it up as well, and refuses a column nobody has", () => {
    const sound = (order: number, width: number, passed: boolean) =>
      coupon(order, width, {
        results: { bead_width: { kind: "measured", value: width }, sound_bead: { kind: "passFail", passed } },
      });
    const study = studyOf([sound(1, 5, true), sound(2, 7, false), sound(3, 6, true)]);
    const rows = summariseResponses(study, ["sound_bead"]).map(({ group, response, mean }) => [
      group.sound_bead,
      response,
      mean,
    ]);
    expect(rows).toEqual([
      [false, "bead_width", 7],
      [true, "bead_width", 5.5],
    ]);
    expect(faultsOf(() => summariseResponses(study, ["cup", "cupp"]))).toEqual([
      'there is no column "cupp"; did you mean "cup"?',
    ]);
  });
});

describe("groupRows", () => {
  test("takes keys that look like numbers or parts of every object as the words they are", () => {
    const keys = ["10", "constructor", "2", "__proto__", "10", "", "2"];
    const groups = groupRows([...keys.entries()], ([, key]) => key);
    expect(groups.map(({ key, rows }) => [key, rows.map(([place]) => place)])).toEqual([
      ["10", [0, 4]],
      ["constructor", [1]],
      ["2", [2, 6]],
      ["__proto__", [3]],
      ["", [5]],
    ]);
  });
});

describe("tallyIncidents", () => {
  const incident = fc.record({
    what: fc.constantFrom("wire_stuck", "arc_lost", "stubbing"),
    outcome: fc.constantFrom("carried_on", "resumed", "scrapped"),
    lostTime: fc.option(
      fc.record({ value: fc.integer({ min: 0, max: 600 }), unit: fc.constantFrom("s", "min", "h") }),
      { nil: undefined },
    ),
  });
  const minutes = { s: 1 / 60, min: 1, h: 60 };

  test("counts every incident once and every minute told once, in whatever unit and order they came", () => {
    fc.assert(
      fc.property(fc.array(incident, { maxLength: 20 }), (drawn) => {
        const incidents = drawn.map(({ lostTime, ...rest }, i) => ({
          seq: i + 1,
          time: "2026-03-02T08:30:00Z",
          ...rest,
          ...(lostTime && { lostTime }),
        })) as Study["incidents"];
        const tally = tallyIncidents({ incidents });
        const backwards = tallyIncidents({ incidents: [...incidents].reverse() });
        expect(backwards.map(({ what, incidents: n }) => [what, n])).toEqual(
          tally.map(({ what, incidents: n }) => [what, n]),
        );
        expect(tally.map(({ incidents: n }) => n)).toEqual(
          tally.map(({ incidents: n }) => n).sort((a, b) => b - a),
        );
        expect(new Set(tally.map(({ what }) => what))).toEqual(new Set(drawn.map(({ what }) => what)));
        for (const row of tally) {
          const own = drawn.filter(({ what }) => what === row.what);
          const told = own.flatMap(({ lostTime }) => (lostTime ? [lostTime] : []));
          expect([row.incidents, row.timed]).toEqual([own.length, told.length]);
          expect(row.scrapped).toBe(own.filter(({ outcome }) => outcome === "scrapped").length);
          expect(row.lostTime).toBeCloseTo(
            told.reduce((sum, { value, unit }) => sum + value * minutes[unit], 0),
            8,
          );
        }
        expect(incidentTable({ incidents }).array("seq")).toEqual(incidents.map(({ seq }) => seq));
      }),
    );
  });
});
