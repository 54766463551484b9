import { describe, expect, test } from "vitest";
import { controlSeries } from "../../../lib/endurance/control/index.js";
import type { Coupon, Study } from "../../../lib/study/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const centre = { current: 150, travel_speed: 200, wire_feed_speed: 1.2 };
const at = (day: number): string => `2026-03-${String(day).padStart(2, "0")}T08:00:00Z`;

/** A study in which a coupon in the middle is run on five days among others, with changes of equipment. */
function study(parts: {
  readonly coupons?: readonly Coupon[];
  readonly role?: string;
  readonly changes?: Study["changes"];
}): Pick<Study, "definition" | "coupons" | "changes"> {
  const { role, changes = [] } = parts;
  const coupons = Array.from({ length: 15 }, (_, i) =>
    coupon(`C${String(i + 1).padStart(2, "0")}`, {
      order: i + 1,
      time: at(i + 1),
      settings: i % 3 === 0 ? centre : { ...centre, current: 111 + 5 * i },
      measured: { bead_width: 6 + 0.01 * i, ...(i < 9 ? { bead_height: 2 } : {}) },
      ...(role !== undefined && i % 3 === 0 ? { role } : {}),
    }),
  );
  return { definition: tigDefinition(), coupons: parts.coupons ?? coupons, changes };
}

const change = (seq: number, what: string, parts: { readonly time: string; readonly before?: string }) => ({
  seq,
  what,
  ...parts,
});

describe("controlSeries", () => {
  test("takes the coupons planned as controls, else the setting most often repeated", () => {
    for (const [role, chosen] of [
      ["control", "control"],
      [undefined, "most repeated"],
    ] as const) {
      const series = controlSeries(study(role === undefined ? {} : { role }));
      expect(series).toMatchObject({ response: "bead_width", unit: "mm", chosen, settings: centre });
      expect(series.readings.map(({ label }) => label)).toEqual(["C01", "C04", "C07", "C10", "C13"]);
      expect(series.readings.map(({ value }) => value)).toEqual([6, 6.03, 6.06, 6.09, 6.12]);
    }
  });

  test("keeps controls apart from a setting that was repeated more often for another reason", () => {
    const { coupons } = study({ role: "control" });
    const others = Array.from({ length: 8 }, (_, i) =>
      coupon(`R${i}`, {
        order: 20 + i,
        time: at(20),
        settings: { ...centre, current: 180 },
        measured: { bead_width: 7 },
      }),
    );
    const series = controlSeries(study({ coupons: [...coupons, ...others] }));
    expect(series.readings).toHaveLength(5);
    expect(series.chosen).toBe("control");
  });

  test("leaves voided coupons out, and those without the response", () => {
    const { coupons } = study({});
    const voided = coupons.map((one) => (one.id === "C04" ? { ...one, state: "voided" as const } : one));
    expect(controlSeries(study({ coupons: voided })).readings.map(({ label }) => label)).toEqual([
      "C01",
      "C07",
      "C10",
      "C13",
    ]);
    expect(() => controlSeries(study({}), "bead_height")).toThrow(
      /drift of bead_height needs at least 4 coupons at one setting with it measured, and there are 3; run one control coupon/,
    );
  });

  test("marks changes before the next control coupon, by the coupon named or by their time", () => {
    const { readings } = controlSeries(
      study({
        changes: [
          change(1, "tungsten", { time: at(1), before: "C05" }),
          change(2, "gas_cylinder", { time: at(12) }),
          change(3, "wire_spool", { time: at(12) }),
          change(4, "cup", { time: at(20) }),
        ],
      }),
    );
    expect(readings.map(({ change: what }) => what ?? "")).toEqual([
      "",
      "",
      "tungsten",
      "",
      "gas_cylinder, wire_spool",
    ]);
  });

  test("says which responses are measured when asked for another", () => {
    expect(() => controlSeries(study({}), "bead_widht")).toThrow(
      /no response "bead_widht"; did you mean "bead_width"\?/,
    );
    expect(() => controlSeries(study({}), "sound_bead")).toThrow(/measures no response "sound_bead"/);
  });
});
