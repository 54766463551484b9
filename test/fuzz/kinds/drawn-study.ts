import type { RandomStream } from "../../../lib/numeric/index.js";
import { chance, MARK, pick } from "../mutate/odd.js";

const physical: readonly (readonly [name: string, unit: string, low: number, high: number])[] = [
  ["current", "A", 60, 220],
  ["travel_speed", "mm/min", 50, 400],
  ["wire_feed_speed", "m/min", 0.3, 3],
  ["standoff", "mm", 1.5, 6],
  ["arc_voltage", "V", 9, 24],
  ["gas_flow", "L/min", 5, 20],
  ["interpass_temperature", "degC", 20, 250],
  ["my_knob", "1", -1, 1],
  ["tilt", "deg", -30, 30],
  ["constructor", "mm", 1, 2],
];
const sizes: readonly (readonly [name: string, unit: string, low: number, high: number])[] = [
  ["bead_width", "mm", 4, 9],
  ["bead_height", "mm", 1, 3],
  ["penetration", "mm", 0.5, 3],
  ["toe_angle", "deg", 20, 90],
  ["bead_area", "mm2", 5, 20],
  ["hardness", "1", 150, 300],
  ["value_of", "mm", -1, 1],
];
const own = [`<b>${MARK}`, "größe", "a & b", "'; --", "{{x}}", "=1+1"];

/** A study.json that is valid, at the ends of what may stand in one, and a table of results for it. */
export function drawnStudy(draw: RandomStream): { readonly definition: string; readonly results: string } {
  const round = (value: number): number => Number(value.toPrecision(draw.integer(1, 7)));
  const many = draw.shuffle(physical).slice(0, chance(draw, 0.1) ? 10 : draw.integer(1, 4));
  const factors = many.map(([name, unit, from, to]) => {
    const span = to - from;
    const low = from + span * 0.4 * draw.uniform();
    const narrow = pick(draw, [0.6, 0.3, 0.01, 1e-6]);
    const high = low + span * narrow;
    const kind = pick(draw, ["continuous", "continuous", "continuous", "discrete", "category"]);
    if (kind === "category")
      return {
        name: `${name}_kind`,
        kind,
        levels: draw.shuffle(["a", "b", "no_6", ...own]).slice(0, draw.integer(2, 5)),
      };
    if (kind === "discrete") return { name, unit, kind, levels: [low, (low + high) / 2, high] };
    return {
      name,
      unit,
      low,
      high,
      ...(chance(draw, 0.4) ? { step: span * narrow * pick(draw, [0.5, 0.1, 1e-3, 1e-7, 1]) } : {}),
      ...(chance(draw, 0.3) ? { settingSd: span * pick(draw, [0, 1e-9, 0.01, 0.5]) } : {}),
      ...(chance(draw, 0.2) ? { change: "hard" } : {}),
    };
  });
  const measured = draw
    .shuffle(sizes)
    .slice(0, draw.integer(1, 4))
    .map(([name, unit, low, high]) => ({
      name,
      unit,
      ...(chance(draw, 0.8)
        ? {
            spec: pick<object>(draw, [
              { lower: low, upper: high },
              { lower: low },
              { upper: high },
              { target: low },
              { lower: low, upper: low + 1e-9 },
              {},
            ]),
          }
        : {}),
      ...(chance(draw, 0.4) ? { gaugeSd: pick(draw, [0, 1e-12, 0.05, 5]) } : {}),
      ...(low > 0 && chance(draw, 0.3) ? { scale: "log" } : {}),
    }));
  const judged = draw
    .shuffle([
      { name: "sound_bead", kind: "passFail" },
      { name: "spatter", kind: "passFail", good: "no" },
      { name: "looks", kind: "grade", spec: { lower: 2 } },
    ])
    .slice(0, draw.integer(0, 3));
  const responses = [...measured, ...judged];
  const definition = {
    schema: "beadbench/study/1",
    name: `drawn ${pick(draw, own)}`,
    process: pick(draw, ["141", "135", "131", "15", "142", "52"]),
    ...(chance(draw, 0.9)
      ? {
          wire: {
            classification: pick(draw, ["ER308L", "G3Si1", "nobody's wire"]),
            diameter: pick(draw, ["1.2 mm", "0.035 in", "18 AWG"]),
          },
        }
      : {}),
    ...(chance(draw, 0.3) ? { base: { material: pick(draw, own), thickness: "5 mm" } } : {}),
    ...(chance(draw, 0.3) ? { gas: { code: "I1", flow: "12 L/min" } } : {}),
    ...(chance(draw, 0.3) ? { rig: { name: pick(draw, own), settings: { arc_voltage: "13 V" } } } : {}),
    factors,
    responses,
    ...(chance(draw, 0.2) ? { blocks: ["day", "to_string"] } : {}),
    ...(chance(draw, 0.2)
      ? { costs: { currency: pick(draw, own), labourPerHour: 1e6, minutesPerCoupon: 0 } }
      : {}),
    ...(chance(draw, 0.2) ? { known: ["good"] } : {}),
    seed: pick(draw, [0, 1, 2 ** 53 - 1, 7]),
  };
  const rows = pick(draw, [0, 1, 2, 3, 6, 10, 16]);
  const still = chance(draw, 0.15);
  const cells = (i: number): readonly (number | string)[] => [
    `K${i}`,
    ...factors.map((factor): number | string => {
      const share = still ? 0.5 : pick(draw, [0, 1, draw.uniform(), draw.uniform()]);
      if ("levels" in factor) return pick<number | string>(draw, factor.levels ?? []);
      return Math.min(factor.high, factor.low + share * (factor.high - factor.low));
    }),
    ...measured.map(({ name }) => {
      const [, , low, high] = sizes.find((size) => size[0] === name)!;
      if (chance(draw, 0.1)) return "";
      return still ? low : round(low + (high - low) * (0.2 + 0.5 * draw.uniform()));
    }),
    ...judged.map(({ kind }) => (kind === "grade" ? draw.integer(1, 4) : pick(draw, ["yes", "no", ""]))),
  ];
  const headed = ({ name, unit }: { name: string; unit?: string }): string =>
    unit === undefined ? name : `${name} [${unit}]`;
  const quoted = (cell: number | string): string => (typeof cell === "number" ? String(cell) : `"${cell}"`);
  const lines = [
    ["coupon", ...factors.map(headed), ...responses.map(headed)].join(","),
    ...Array.from({ length: rows }, (_, i) => cells(i).map(quoted).join(",")),
  ];
  return { definition: JSON.stringify(definition, null, 1), results: `${lines.join("\n")}\n` };
}
