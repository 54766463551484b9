import { arcMinutes, type RunCoupon, runDays, SCALE_LEFT, TOUCHED } from "./run-days.js";

const SEED = 2026;

const study = {
  schema: "beadbench/study/1",
  name: "wear ring rebuild (invented)",
  process: "141",
  wire: { classification: "ISO 14343-A W 19 9 L Si", diameter: "1.2 mm", material: "ER308L" },
  base: { material: "316L", thickness: "14 mm", diameter: "160 mm" },
  gas: { code: "I1", flow: "11 L/min" },
  rig: {
    name: "lathe bed with a TIG torch and a salvaged feeder",
    settings: { arc_voltage: "12.8 V" },
    efficiency: 0.7,
  },
  factors: [
    { name: "current", unit: "A", low: 90, high: 180, step: 5, settingSd: 1 },
    { name: "travel_speed", unit: "mm/min", low: 70, high: 200, step: 10, settingSd: 0.5 },
    // The dial of the feeder has whole in/min: 16 to 56.
    { name: "wire_feed_speed", unit: "mm/min", low: 406.4, high: 1422.4, step: 25.4, settingSd: 8 },
    { name: "standoff", unit: "mm", low: 2, high: 5, step: 0.5, settingSd: 0.1 },
  ],
  responses: [
    { name: "bead_width", unit: "mm", spec: { lower: 5.4, target: 6, upper: 6.6 }, gaugeSd: 0.04 },
    { name: "bead_height", unit: "mm", spec: { lower: 1.95, target: 2.25, upper: 2.55 }, gaugeSd: 0.04 },
    { name: "smooth_feed", kind: "passFail" },
    { name: "sound_bead", kind: "passFail" },
  ],
  limits: [{ quantity: "arc_energy", unit: "kJ/mm", max: 1.5 }],
  blocks: ["day", "tungsten_grind", "cylinder"],
  costs: {
    currency: "EUR",
    gasPerM3: 9,
    wirePerKg: 31,
    labourPerHour: 38,
    materialPerCoupon: 2.4,
    minutesPerCoupon: 11,
    minutesPerHardChange: 0,
  },
  seed: SEED,
};

/** How the sheet of a day was written. */
interface Sheet {
  readonly separator: "," | ";";
  readonly decimal: "." | ",";
  /** Unit in the header of the wire feed column; the numbers are always in in/min. */
  readonly feedUnit: string;
}

const american: Sheet = { separator: ",", decimal: ".", feedUnit: "in/min" };
/** On day 2 the header of another sheet was copied: in/min under the heading mm/min. Day 3 came from another computer. */
const sheets: readonly Sheet[] = [
  american,
  { ...american, feedUnit: "mm/min" },
  { ...american, separator: ";", decimal: "," },
  american,
];

/** The coupon of day 3 whose second height was typed without its decimal mark. */
function mistyped(days: readonly (readonly RunCoupon[])[]): RunCoupon {
  return days[2]!.find(({ role, heights }) => role === "spread" && heights.length > 0)!;
}

function csvOf(coupons: readonly RunCoupon[], sheet: Sheet, slipped: RunCoupon): string {
  const header = [
    "coupon",
    "role",
    "day",
    "tungsten_grind",
    "cylinder",
    "current [A]",
    "travel_speed [mm/min]",
    `wire_feed_speed [${sheet.feedUnit}]`,
    "standoff [mm]",
    "arc_voltage [V]",
    "interpass_temperature [degC]",
    "smooth_feed",
    "sound_bead",
    ...[1, 2, 3].map((station) => `bead_width_${station} [mm]`),
    ...[1, 2, 3].map((station) => `bead_height_${station} [mm]`),
    "note",
  ];
  const rows = coupons.map((coupon) => {
    const { id, role, day, tungstenGrind, cylinder, widths, sound, smooth, note } = coupon;
    const heights = coupon === slipped ? typedHeights(coupon) : coupon.heights;
    const cells: readonly (number | string)[] = [
      id,
      role,
      day,
      tungstenGrind,
      cylinder,
      coupon.current,
      coupon.travelSpeed,
      coupon.wireFeedSpeed,
      coupon.standoff,
      coupon.voltage,
      coupon.plateTemperature,
      smooth ? "yes" : "no",
      sound === undefined ? "" : sound ? "yes" : "no",
      ...[0, 1, 2].map((i) => widths[i] ?? ""),
      ...[0, 1, 2].map((i) => heights[i] ?? ""),
      note === "" ? "" : `"${note}"`,
    ];
    return cells.map((cell) => (typeof cell === "number" ? String(cell).replace(".", sheet.decimal) : cell));
  });
  return [header, ...rows].map((row) => `${row.join(sheet.separator)}\n`).join("");
}

const typedHeights = ({ heights }: RunCoupon): readonly number[] =>
  heights.map((height, i) => (i === 1 ? Number((height * 100).toFixed(0)) : height));

/** What was logged beside the sheets, in order; the command `demo` goes through it line by line. */
function eventsOf(days: readonly (readonly RunCoupon[])[], slipped: RunCoupon): readonly object[] {
  const stuck = days[0]!.find(({ note }) => /bottom of the pool|stubbed/.test(note))!;
  const exposureAt = (id: string): object => {
    const run = days.flat().slice(0, days.flat().findIndex((coupon) => coupon.id === id) + 1);
    const minutes = run.reduce((sum, coupon) => sum + arcMinutes(coupon), 0);
    return {
      starts: { value: run.length, unit: "1" },
      arc_time: { value: Number(minutes.toFixed(1)), unit: "min" },
    };
  };
  const incident = ({
    what,
    coupon,
    minutes,
    note,
  }: {
    readonly what: string;
    readonly coupon: string;
    readonly minutes: number;
    readonly note: string;
  }): object => ({
    kind: "incident",
    what,
    outcome: "resumed",
    coupon,
    exposure: exposureAt(coupon),
    lostTime: { value: minutes, unit: "min" },
    note,
  });
  const at = (day: number, time: string): string => `2026-03-0${day + 1}T${time}:00Z`;
  return [
    { time: at(1, "15:40"), import: "day-1.csv" },
    {
      time: at(1, "15:45"),
      log: incident({
        what: "wire_stuck",
        coupon: stuck.id,
        minutes: 12,
        note: "wire froze into the crater at the stop; cut and pulled",
      }),
    },
    { time: at(2, "15:30"), import: "day-2.csv" },
    {
      time: at(2, "15:36"),
      log: incident({
        what: "tungsten_touched",
        coupon: TOUCHED,
        minutes: 20,
        note: "wire sprang up and touched the tungsten",
      }),
    },
    {
      time: at(2, "15:38"),
      log: {
        kind: "change",
        what: "tungsten",
        detail: "ground to 30 deg, 0.3 mm flat",
        before: next(TOUCHED),
      },
    },
    ...days[1]!.map(({ id }) => ({
      time: at(3, "06:50"),
      correct: {
        coupon: id,
        units: { wire_feed_speed: "in/min" },
        reason: "sheet copied with the wrong header: the feeder dial reads in/min",
      },
    })),
    { time: at(3, "15:20"), import: "day-3.csv" },
    {
      time: at(3, "15:31"),
      correct: {
        coupon: slipped.id,
        readings: { bead_height: slipped.heights },
        reason: "second height typed without its decimal mark; measured again",
      },
    },
    {
      time: at(3, "15:34"),
      log: { kind: "voided", coupon: SCALE_LEFT, reason: "mill scale was left under the bead" },
    },
    { time: at(4, "15:25"), import: "day-4.csv" },
    {
      time: at(4, "15:26"),
      log: {
        kind: "change",
        what: "gas_cylinder",
        detail: "new argon cylinder, regulator leak-tested",
        before: days[3]![0]!.id,
      },
    },
    { time: at(4, "15:40"), log: { kind: "note", text: "Coupons for the ring are done; keep the plates." } },
  ];
}

const next = (id: string): string => `C${String(Number(id.slice(1)) + 1).padStart(3, "0")}`;

/** Every file of the demo by name, the README apart. */
export function demoFiles(): Readonly<Record<string, string>> {
  const days = runDays(SEED);
  const slipped = mistyped(days);
  const sheetFiles = days.map(
    (coupons, i) => [`day-${i + 1}.csv`, csvOf(coupons, sheets[i]!, slipped)] as const,
  );
  return {
    "study.json": `${JSON.stringify(study, null, 2)}\n`,
    ...Object.fromEntries(sheetFiles),
    "events.jsonl": eventsOf(days, slipped)
      .map((event) => `${JSON.stringify(event)}\n`)
      .join(""),
  };
}
