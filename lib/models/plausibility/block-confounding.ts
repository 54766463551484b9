import { type Finding, grouped, ownValue } from "../../errors/index.js";
import { fixed, inWords, mean, settingDigits } from "../../numeric/figures/index.js";
import type { Factor } from "../../study/definition/index.js";
import type { Coupon, StudyData } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";

/** Share of a setting's spread that blocks may explain, and correlation with run order, before it is named. */
const LIMIT = 0.8;
const FEWEST = 6;

/** Settings that went with a block or with the run order, so that their effect cannot be told from that of the day. */
export function blockConfounding({ definition, coupons }: StudyData): readonly Finding[] {
  if (coupons.length < FEWEST) return [];
  return definition.factors.flatMap((factor) => {
    const withBlock = definition.blocks.flatMap((block) => blockFinding(factor, block, coupons));
    return withBlock.length > 0 ? withBlock.slice(0, 1) : orderFinding(factor, coupons);
  });
}

const numbersOf = ({ name, kind, levels = [] }: Factor, coupons: readonly Coupon[]): readonly number[] =>
  coupons.map(({ settings }) =>
    kind === "category"
      ? levels.indexOf(String(ownValue(settings, name)))
      : Number(ownValue(settings, name) ?? Number.NaN),
  );

function blockFinding(factor: Factor, block: string, coupons: readonly Coupon[]): readonly Finding[] {
  const groups = grouped(coupons, ({ blocks }) => ownValue(blocks, block));
  const used = [...groups.values()].flat();
  const values = numbersOf(factor, used);
  // Blocks of one coupon each explain everything and say nothing.
  if (groups.size < 2 || used.length < 2 * groups.size || !values.every(Number.isFinite)) return [];
  const squares = (list: readonly number[]): number => {
    const middle = mean(list);
    return list.reduce((sum, value) => sum + (value - middle) ** 2, 0);
  };
  const total = squares(values);
  if (total === 0) return [];
  const within = [...groups.values()].reduce((sum, group) => sum + squares(numbersOf(factor, group)), 0);
  const freedom = used.length - groups.size;
  const explained = 1 - within / freedom / (total / (used.length - 1));
  if (explained < LIMIT) return [];
  const word = inWords(block);
  const places = [...groups].map(([level, group]) => {
    const settings = [...new Set(group.map(({ settings: own }) => ownValue(own, factor.name)!))];
    const said = settings.map((value) => (typeof value === "number" ? settingDigits(value) : value));
    const span = said.length > 2 ? `${said[0]} to ${said.at(-1)}` : said.join(" and ");
    return `${withUnit(span, factor.unit)} only on ${word} ${level}`;
  });
  return [
    {
      code: "moved-with-block",
      severity: "warning",
      message: `${factor.name} went with the ${word}: ${places.slice(0, 4).join(", ")}${places.length > 4 ? ", ..." : ""}; its effect cannot be told from that of the ${word}`,
      advice: `run some settings of ${factor.name} on every ${word}`,
      about: [factor.name, block],
    },
  ];
}

function orderFinding(factor: Factor, coupons: readonly Coupon[]): readonly Finding[] {
  const values = numbersOf(factor, coupons);
  const places = coupons.map(({ order }) => order);
  if (!values.every(Number.isFinite) || new Set(values).size < 2 || factor.kind === "category") return [];
  const [a, b] = [mean(values), mean(places)];
  const moment = ({
    x,
    p,
    y,
    q,
  }: {
    readonly x: readonly number[];
    readonly p: number;
    readonly y: readonly number[];
    readonly q: number;
  }): number => x.reduce((sum, value, i) => sum + (value - p) * (y[i]! - q), 0);
  const r =
    moment({ x: values, p: a, y: places, q: b }) /
    Math.sqrt(moment({ x: values, p: a, y: values, q: a }) * moment({ x: places, p: b, y: places, q: b }));
  if (!(Math.abs(r) >= LIMIT)) return [];
  return [
    {
      code: "moved-with-run-order",
      severity: "warning",
      message: `${factor.name} ${r > 0 ? "rose" : "fell"} with the run order (correlation ${fixed(r, 2)}); its effect cannot be told from wear or warming up`,
      advice: "run the coupons to come in random order, and some early settings again at the end",
      about: [factor.name],
    },
  ];
}
