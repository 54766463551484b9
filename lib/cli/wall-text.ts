import type { WallPlan, WallTask } from "../endurance/index.js";
import {
  brief,
  counted,
  fixed,
  levelPercent,
  percent,
  settingDigits,
  significant,
} from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** The schedule as CSV: one row per layer, settings that a lever moves in columns of their own. */
export function scheduleCsv({ layers }: WallPlan): string {
  const moved = [
    ...new Set(
      layers.flatMap(({ settings }) =>
        Object.entries(settings).map(([name, { unit }]) => `${name} [${unit}]`),
      ),
    ),
  ];
  const header = [
    "layer",
    "rise [mm]",
    "dwell [s]",
    "temperature [degC]",
    "standoff [mm]",
    "standoff_low [mm]",
    "standoff_high [mm]",
    "relevel",
    "growth [mm]",
    ...moved,
  ];
  const rows = layers.map((row) => [
    row.layer,
    brief(row.rise, 6),
    fixed(row.dwell, 1),
    fixed(row.temperature ?? 0, 0),
    fixed(row.standoff, 3),
    fixed(row.standoffLow, 3),
    fixed(row.standoffHigh, 3),
    row.relevel ? "yes" : "no",
    fixed(row.growth, 3),
    ...moved.map((title) => {
      const found = Object.entries(row.settings).find(([name, { unit }]) => `${name} [${unit}]` === title);
      return found === undefined ? "" : brief(found[1].value, 8);
    }),
  ]);
  return [header, ...rows].map((cells) => `${cells.join(",")}\n`).join("");
}

/** Layers worth a line: the first ones, then ever further apart, levellings left to the CSV. */
function shownLayers(count: number): readonly number[] {
  const shown: number[] = [];
  for (let at = 1; at <= count; at = at < 5 ? at + 1 : Math.max(at + 1, Math.round(at * 1.35)))
    shown.push(at);
  return shown.at(-1) === count ? shown : [...shown, count];
}

/** A plan as text for a terminal. */
export function wallText(plan: WallPlan, task: WallTask): string {
  const { layers, constant, relevelEvery, coupons } = plan;
  const moved = layers.some(({ settings }) => Object.keys(settings).length > 0) ? task.lever : undefined;
  const right = (title: string) => ({ title, align: "right" as const });
  const rows = shownLayers(layers.length).map((at) => {
    const row = layers[at - 1]!;
    const setting = moved === undefined ? undefined : (row.settings[moved] ?? task.with.settings[moved]);
    return [
      String(at),
      at === 1 ? "touch off" : fixed(row.rise, 2),
      ...(moved === undefined || setting === undefined ? [] : [settingDigits(setting.value)]),
      fixed(row.dwell, 0),
      fixed(row.temperature ?? 0, 0),
      `${significant(row.standoff)} (${fixed(row.standoffLow, 1)} to ${fixed(row.standoffHigh, 1)})`,
      row.relevel ? "re-level" : "",
    ];
  });
  return [
    `Wall of ${counted(layers.length, "layer")}, ${fixed(plan.height, 1)} mm high, ${fixed(plan.time / 60, 0)} min with dwells; stand-off ${significant(plan.standoff)} mm held between ${significant(plan.touch)} (touch) and ${significant(plan.tooLong)} mm (too long)\n\n`,
    textTable(
      [
        right("layer"),
        right("rise before [mm]"),
        ...(moved === undefined ? [] : [right(`${moved} [${task.with.settings[moved]!.unit}]`)]),
        right("dwell before [s]"),
        right("begins at [degC]"),
        { title: `stand-off [mm] (${levelPercent(plan.level)})` },
        { title: "" },
      ],
      rows,
    ),
    `\n${firstLayersText(plan)}`,
    relevelEvery === null
      ? "Levelling: none needed by the band; measure all the same.\n"
      : `Levelling: measure and set the stand-off anew every ${relevelEvery === 1 ? "layer" : `${relevelEvery} layers`}.\n`,
    constantText(plan),
    coursesText(plan),
    constant.touches === null && coupons.length === 0 ? "" : couponsText(plan),
    "\nAssumed (put another in its place with --assume name=quantity):\n",
    textTable(
      [{ title: "name" }, right("value"), { title: "from" }],
      plan.assumptions.map(({ name, value, unit, origin, note }) => [
        name,
        withUnit(brief(value, 4), unit),
        `${origin}; ${note}`,
      ]),
    ),
    findingsBelow(plan.findings),
    `\n${plan.cautions.map((caution) => `${wrap(caution)}\n`).join("")}`,
  ].join("");
}

function firstLayersText({ bare }: WallPlan): string {
  const last = bare.at(-1)!.expected;
  const settled = bare.findLastIndex(({ expected }) => Math.abs(expected / last - 1) > 0.03) + 2;
  const first = bare.slice(0, 3).map(({ expected }) => fixed(expected, 2));
  return `Growth: ${first.length === 1 ? "layer 1" : `layers 1 to ${first.length}`} ${first.join(", ")} mm, ${settled <= 3 ? "" : `falling till about layer ${Math.min(settled, bare.length)}, `}the last ${fixed(last, 2)} mm (${fixed(bare.at(-1)!.low, 2)} to ${fixed(bare.at(-1)!.high, 2)}).\n`;
}

function constantText({ constant: { rise, origin, bands, touches, stretches }, layers }: WallPlan): string {
  const end = bands[layers.length - 1]!;
  const when = [
    touches === null ? "" : `may touch from layer ${touches}`,
    stretches === null ? "" : `may stretch from layer ${stretches}`,
  ].filter((part) => part !== "");
  return `A constant rise of ${significant(rise, 4)} mm (${origin}), never levelled: ${when.length === 0 ? "stays within" : when.join(", ")}; before the last layer ${fixed(end.expected, 1)} mm (${fixed(end.low, 1)} to ${fixed(end.high, 1)}).\n`;
}

function coursesText({ shapes, walls, studyCoupons }: WallPlan): string {
  const likely = Object.entries(shapes)
    .slice(0, 3)
    .map(([name, chance]) => `${name} ${percent(chance)}`);
  const rests = [
    ...walls.map(
      ({ wall, layers, readings }) =>
        `${wall === "" ? "a wall" : `wall ${wall}`} of ${layers} layers (${readings} readings)`,
    ),
    ...studyCoupons.map(
      ({ set, coupons }) => `${counted(coupons, "coupon")} of ${set === "first" ? "first layers" : "walls"}`,
    ),
  ];
  return `Rests on ${rests.length === 0 ? "mass and energy balance alone" : rests.join(", ")}; course of the growth: ${likely.join(", ")}.\n`;
}

function couponsText({ coupons, level, arcTime }: WallPlan): string {
  if (coupons.length === 0) return "";
  const lines = coupons.map(
    ({ layers, measure, before, after, why }, i) =>
      `${i + 1}. ${layers} layers, stand-off before layers ${measure.join(", ")}, height at the end: ${why}; half band before the last layer ${fixed(before, 1)} -> ${fixed(after, 1)} mm\n`,
  );
  return `\nWall coupons that would settle it (${levelPercent(level)}, stand-off never levelled), laid with these settings, rises and dwells; a shorter wall waits longer, so that a layer begins as long after the last one (${fixed(arcTime, 0)} s and the dwell):\n${lines.map((line) => `${wrap(line.trim(), "   ")}\n`).join("")}`;
}
