import { describe, expect, test } from "vitest";
import {
  absurdity,
  isPhysicalQuantity,
  physicalSetting,
  physicalSettingOf,
  physicalSettingOfCoupon,
  physicalUnits,
  refusalOfCoupon,
  usualSetting,
} from "../../../lib/models/settings/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();

describe("physicalSetting", () => {
  test("brings every quantity to the unit the physics uses, whatever it was written in", () => {
    // The inch of 25.4 mm, the foot of 0.3048 m and degF = 32 + 1.8 degC: NIST SP 811, appendix B, exact.
    const setting = physicalSetting([
      { name: "travel_speed", value: 180, unit: "mm/min" },
      { name: "wire_feed_speed", value: 120, unit: "in/min" },
      { name: "wire_diameter", value: 0.045, unit: "in" },
      { name: "interpass_temperature", value: 212, unit: "degF" },
      { name: "gas_flow", value: 20, unit: "ft3/h" },
      { name: "power", value: 1.5, unit: "kW" },
    ]);
    expectDigits(setting.travel_speed!, 3, 14);
    expectDigits(setting.wire_feed_speed!, 50.8, 14);
    expectDigits(setting.wire_diameter!, 1.143, 14);
    expectDigits(setting.interpass_temperature!, 100, 13);
    expectDigits(setting.gas_flow!, (20 * 0.3048 ** 3 * 1000) / 60, 13);
    expectDigits(setting.power!, 1500, 14);
  });

  test("leaves out what it cannot use: another kind of unit, no number, a name it does not know", () => {
    expect(
      physicalSetting([
        { name: "current", value: 140, unit: "V" },
        { name: "standoff", value: Number.NaN, unit: "mm" },
        { name: "stickout", value: Number.POSITIVE_INFINITY, unit: "mm" },
        { name: "humidity", value: 40, unit: "%" },
        { name: "constructor", value: 1, unit: "mm" },
      ]),
    ).toEqual({});
    for (const name of ["constructor", "toString", "__proto__", "hasOwnProperty", "Current", ""])
      expect(isPhysicalQuantity(name), name).toBe(false);
  });

  test("the last usable value of a name wins, an unusable one displaces nothing", () => {
    const anyValue = fc.oneof(fc.double({ min: -1e6, max: 1e6, noNaN: true }), fc.constant(Number.NaN));
    const anyQuantity = fc.record({
      name: fc.constantFrom("current", "dwell", "layer_height"),
      value: anyValue,
      unit: fc.constantFrom("A", "s", "mm"),
    });
    fc.assert(
      fc.property(fc.array(anyQuantity, { maxLength: 12 }), (quantities) => {
        const own = { current: "A", dwell: "s", layer_height: "mm" };
        const setting = physicalSetting(quantities);
        for (const [name, unit] of Object.entries(own)) {
          const last = quantities.findLast(
            (one) => one.name === name && one.unit === unit && !Number.isNaN(one.value),
          );
          expect(setting[name as keyof typeof own]).toBe(last?.value);
        }
      }),
    );
  });
});

describe("settings of a study", () => {
  const rig = tigDefinition({
    gas: { code: "I1", flow: "10 L/min" },
    rig: { settings: { arc_voltage: "12 V", standoff: "0.1 in" } },
  });

  test("holds the rig's constants, the factors over them, and what was logged beside a coupon over both", () => {
    const settings = { current: 140, travel_speed: 180, wire_feed_speed: 1.2 };
    const planned = physicalSettingOf({ definition: rig }, settings);
    expect(planned).toMatchObject({ current: 140, arc_voltage: 12, wire_diameter: 1.2, gas_flow: 10 });
    expectDigits(planned.standoff!, 2.54, 14);
    expectDigits(planned.travel_speed!, 3, 14);
    expectDigits(planned.wire_feed_speed!, 20, 14);
    const context = {
      arc_voltage: { value: 13.5, unit: "V" },
      wire_feed_speed: { value: 48, unit: "in/min" },
    };
    const run = physicalSettingOfCoupon({ definition: rig }, coupon("C1", { settings, context }));
    expect(run.arc_voltage).toBe(13.5);
    expectDigits(run.wire_feed_speed!, 20.32, 14);
    expect({ ...run, arc_voltage: 12, wire_feed_speed: planned.wire_feed_speed }).toEqual(planned);
  });

  test("what the rig usually held is the median of logged readings; planned and voided coupons have no say", () => {
    const reading = (id: string, volts: number, state: "planned" | "logged" | "voided" = "logged") =>
      coupon(id, { state, context: { arc_voltage: { value: volts, unit: "V" } } });
    const coupons = [
      reading("C1", 11),
      reading("C2", 14),
      // One reading slipped tenfold moves a median little.
      reading("C3", 130),
      reading("C4", 900, "planned"),
      reading("C5", 900, "voided"),
      coupon("C6", { context: { gas_flow: { value: 0, unit: "L/min" } } }),
    ];
    const usual = usualSetting({ definition: rig, coupons });
    expect(usual.arc_voltage).toBe(14);
    expect(usual.gas_flow).toBe(10);
    expect(usual.current).toBeUndefined();
    expect(usualSetting({ definition: rig, coupons: [] }).arc_voltage).toBe(12);
  });
});

describe("settings that no rig runs", () => {
  const run = (settings: Record<string, number>) => coupon("C1", { settings });

  test("are refused by name and value, in a sentence with the usual range", () => {
    // 20 m/min is 333 mm/s of wire, which rigs feed; 180 m/min is a speed in mm/min under the wrong heading.
    expect(refusalOfCoupon({ definition }, run({ wire_feed_speed: 20 }))).toBeUndefined();
    const refusal = refusalOfCoupon({ definition }, run({ current: 140, wire_feed_speed: 180 }));
    expect(refusal?.code).toBe("bad-argument");
    expect(refusal?.details).toEqual({ setting: "wire_feed_speed", value: 3000 });
    expect(absurdity({ definition }, run({ wire_feed_speed: 180 }))).toMatch(
      /^wire feed speed must be above 0 .*got 3000 mm\/s; .*usual/,
    );
    expect(refusalOfCoupon({ definition }, run({ current: -140 }))?.details.setting).toBe("current");
    const thick = tigDefinition({ wire: { classification: "ER308L", diameter: "12 mm" } });
    expect(refusalOfCoupon({ definition: thick }, run({ current: 140 }))?.details.setting).toBe(
      "wire_diameter",
    );
  });

  test("every setting a home-built rig could use goes through, in any unit of its kind", () => {
    const lengths: readonly (readonly [string, number])[] = [
      ["mm/s", 1],
      ["mm/min", 1 / 60],
      ["m/min", 1000 / 60],
      ["in/min", 25.4 / 60],
    ];
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 100, noNaN: true }),
        fc.double({ min: 300, max: 1e6, noNaN: true }),
        fc.constantFrom(...lengths),
        (sound, wild, [unit, factor]) => {
          const at = (speed: number) =>
            absurdity(
              { definition },
              coupon("C1", { context: { travel_speed: { value: speed / factor, unit } } }),
            );
          expect(at(sound)).toBeUndefined();
          expect(at(wild)).toContain("travel speed must be");
          expect(at(-sound)).toContain("travel speed must be");
        },
      ),
    );
  });

  test("each quantity of the physics names a unit it converts to itself without loss", () => {
    for (const [name, unit] of Object.entries(physicalUnits))
      expect(physicalSetting([{ name, value: 7.3, unit }])).toEqual({ [name]: 7.3 });
  });
});
