import { readFileSync } from "node:fs";
import { wavOf } from "./sound.js";

/** A CSV text from its header and a function of the row. */
export const table = (
  header: string,
  rows: number,
  row: (i: number) => readonly (number | string)[],
): string => `${[header, ...Array.from({ length: rows }, (_, i) => row(i).join(","))].join("\n")}\n`;
export const rounded = (value: number): number => Number(value.toFixed(3));

/** A study with something of everything that a study.json may say. */
export const studyText = JSON.stringify(
  {
    schema: "beadbench/study/1",
    name: "rail ends (invented)",
    process: "141",
    wire: { classification: "ER308L", diameter: "1.2 mm", material: "308L" },
    base: { material: "316L", thickness: "12 mm", diameter: "150 mm" },
    gas: { code: "I1", flow: "11 L/min" },
    rig: { name: "bench", settings: { arc_voltage: "12.5 V", pre_flow: "2 s" }, efficiency: 0.7 },
    factors: [
      { name: "current", unit: "A", low: 90, high: 180, step: 5, settingSd: 1 },
      { name: "travel_speed", unit: "mm/min", low: 70, high: 200, step: 10 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.4, high: 1.4, step: 0.05 },
      { name: "cup", kind: "category", levels: ["no_6", "no_8"], change: "hard" },
    ],
    responses: [
      {
        name: "bead_width",
        unit: "mm",
        spec: { lower: 5, target: 6, upper: 7 },
        gaugeSd: 0.04,
        scale: "log",
      },
      { name: "bead_height", unit: "mm", spec: { lower: 1.5, upper: 3 } },
      { name: "sound_bead", kind: "passFail" },
      { name: "spatter", kind: "passFail", good: "no" },
      { name: "looks", kind: "grade", spec: { lower: 2 } },
    ],
    limits: [
      { quantity: "arc_energy", unit: "kJ/mm", min: 0.2, max: 1.6 },
      { name: "source_limit", terms: { current: 1, wire_feed_speed: 20 }, max: 205 },
    ],
    blocks: ["day", "cylinder"],
    costs: {
      currency: "EUR",
      gasPerM3: 9,
      wirePerKg: 31,
      labourPerHour: 38,
      materialPerCoupon: 0.8,
      minutesPerCoupon: 12,
      minutesPerHardChange: 20,
    },
    priors: { width_sd: 0.6, electrode_extension: "15 mm" },
    known: ["150 A, 120 mm/min, 1.0 m/min, no_8, good"],
    seed: 2026,
  },
  null,
  2,
);

/** A study of two settings and one result, on which every model is quick. */
export const plainText = JSON.stringify({
  schema: "beadbench/study/1",
  name: "shaft (invented)",
  process: "135",
  wire: { classification: "G3Si1", diameter: "1 mm" },
  factors: [
    { name: "current", unit: "A", low: 90, high: 180 },
    { name: "travel_speed", unit: "mm/s", low: 3, high: 9 },
  ],
  responses: [{ name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 } }],
});

export const couponsText = table(
  "coupon,day,cylinder,current [A],travel_speed [mm/min],wire_feed_speed [m/min],cup,bead_width_1 [mm],bead_width_2 [mm],bead_height [mm],sound_bead,spatter,looks,room [degC],note",
  12,
  (i) => {
    const [current, speed, feed] = [
      100 + 5 * ((i * 7) % 15),
      80 + 10 * ((i * 5) % 11),
      0.6 + 0.05 * ((i * 3) % 10),
    ];
    const width = rounded(5.9 * (current / 140) ** 0.7 * (speed / 130) ** -0.45 + 0.1 * Math.sin(9 * i));
    const sound = i % 5 === 3 ? "no" : "yes";
    return [
      `C${i + 1}`,
      1 + (i >> 2),
      1 + (i >> 3),
      current,
      speed,
      rounded(feed),
      i % 2 ? "no_6" : "no_8",
      width,
      rounded(width + 0.1),
      rounded(1.8 + 0.1 * (i % 5)),
      sound,
      i % 4 === 1 ? "yes" : "no",
      1 + (i % 3),
      20 + i,
      i === 2 ? "a drop fell" : "",
    ];
  },
);

/** Readings of every kind of table, by the command that takes them. */
export const readings: Readonly<Record<string, { readonly text: string; readonly line: readonly string[] }>> =
  {
    standoff: {
      text: table("layer,standoff [mm],rise [mm]", 20, (i) => [
        i + 1,
        rounded(3 + 0.1 * Math.sin(3 * i)),
        1.6,
      ]),
      line: ["--gauge-sd", "0.05 mm"],
    },
    section: {
      text: table("x [mm],y [mm]", 21, (i) => [
        rounded((i - 10) * 0.3),
        rounded(Math.max(0, 2 - ((i - 10) * 0.3) ** 2 / 3)),
      ]),
      line: [],
    },
    stickout: {
      text: table("current [A],wire_feed_speed [mm/s],stickout [mm]", 12, (i) => [
        120 + 10 * i,
        rounded(0.3 * (120 + 10 * i) + 5e-5 * (10 + (i % 4)) * (120 + 10 * i) ** 2),
        10 + (i % 4),
      ]),
      line: [],
    },
    "melt-back": {
      text: table("burn_back_time [s],extension_change [mm]", 8, (i) => [
        rounded(0.05 + 0.02 * i),
        rounded(1 - 0.8 * i + 0.05 * Math.sin(5 * i)),
      ]),
      line: [],
    },
    sticking: {
      text: table("delay [s],clearance [mm],stuck", 24, (i) => [
        rounded(0.1 * (1 + (i % 8))),
        1 + (i % 3),
        i % 8 > 3 + (i % 3) ? "yes" : "no",
      ]),
      line: [],
    },
    control: {
      text: table("date,bead_width [mm],change", 12, (i) => [
        `2026-02-${10 + i}`,
        rounded(6 + 0.1 * Math.sin(7 * i)),
        i === 6 ? "tungsten" : "",
      ]),
      line: [],
    },
    gauge: {
      text: table("part,operator,reading [mm]", 20, (i) => [
        1 + (i % 5),
        i % 10 < 5 ? "A" : "B",
        rounded(5 + 0.3 * (i % 5) + 0.02 * Math.sin(7 * i)),
      ]),
      line: [],
    },
    calibration: {
      text: table("date,set [A],measured [A]", 10, (i) => [
        i < 5 ? "2026-01-01" : "2026-02-01",
        100 + 20 * (i % 5),
        rounded(99 + 20.4 * (i % 5) + 0.2 * (i % 2)),
      ]),
      line: ["--unit", "A"],
    },
    cooling: {
      text: table("time [s],temperature [degC]", 14, (i) => [
        5 + 20 * i,
        rounded(20 + 380 * Math.exp(-(5 + 20 * i) / 80) + 0.1 * Math.sin(i)),
      ]),
      line: [],
    },
    purge: {
      text: table("time [min],oxygen [ppm]", 15, (i) => [10 * i, rounded(20 + 209_000 * Math.exp(-i / 2))]),
      line: ["--flow", "10 L/min", "--volume", "200 L"],
    },
    curve: {
      text: table("date,set [A],measured [A]", 8, (i) => [
        i,
        100 + 20 * i,
        rounded(99 + 20.4 * i + 0.2 * (i % 2)),
      ]),
      line: ["--response", "measured", "--formula", "a + b * set"],
    },
  };

export const profilesText = table("coupon,x [mm],z [mm]", 31, (i) => [
  "C1",
  rounded((i - 15) * 0.4),
  rounded(Math.max(0, 2 - ((i - 15) * 0.4) ** 2 / 4.5)),
]);
export const marksText = table("coupon,mark,x [px],y [px]", 6, (i) => [
  "C1",
  ["scale", "left", "right"][i >> 1]!,
  (i % 2) * 1000,
  [0, 200, 320][i >> 1]!,
]);
export const layersText = table("layer,path [mm],starts", 12, (i) => [i + 1, 120 + i, 1]);
export const traceText = table("time [s],current [A],voltage [V],feed [m/min]", 400, (i) => [
  rounded(0.01 * i),
  i % 100 < 10 ? 0 : 150 + (i % 7),
  i % 100 < 10 ? 0 : 12 + (i % 3),
  1,
]);
export const traceSound = wavOf(4000, (i) => [i % 1000 < 100 ? 0 : 0.3, i % 1000 < 100 ? 0 : 0.25]);

export const templateText = `Setting sheet of {{study}}, made {{made}}, to look at again {{review}} {{mark}}
{{#settings}}
{{name}}: {{value}} {{unit}} ({{low}} to {{high}} by {{step}}) {{note}} {{mark}}
{{/settings}}
current {{by_name.current.value}} {{by_name.current.unit}} {{mark}}
{{^chances}}no chance is known{{/chances}}{{#predicted}}{{name}} {{value}} {{unit}} {{mark}}
{{/predicted}}
{{#cautions}}- {{.}}
{{/cautions}}
`;
export const equipmentText = JSON.stringify({
  source: { current: "200 A", duty: 0.35, largestCurrent: "250 A" },
  torch: { current: "150 A", duty: 0.6 },
  tungsten: { diameter: "2.4 mm", polarity: "dc-negative" },
  cup: { bore: "9.5 mm" },
});
export const machineText = readFileSync(new URL("../../data-demo/machine.json", import.meta.url), "utf8");
export const mapText = JSON.stringify({
  schema: "beadbench/columns/1",
  headerRow: 1,
  decimal: ".",
  columns: couponsText
    .split("\n", 1)[0]!
    .split(",")
    .map((heading) => {
      const [, to, unit] = /^(\w+)(?: \[(.*)\])?$/.exec(heading)!;
      return { from: heading, to, ...(unit === undefined ? {} : { unit }) };
    }),
  constant: { arc_voltage: "12.5 V" },
});
/** The heads of a JPEG and a PNG picture, with what a camera writes before the picture itself. */
export const photoHeads: readonly Buffer[] = [
  Buffer.concat([
    Buffer.from(
      "ffd8ffe000104a46494600010100000100010000ffe1002245786966000049492a0008000000010012010300010000000600000000000000ffd9",
      "hex",
    ),
  ]),
  Buffer.from(
    "89504e470d0a1a0a0000000d49484452000000010000000108020000009077533e0000000049454e44ae426082",
    "hex",
  ),
];
