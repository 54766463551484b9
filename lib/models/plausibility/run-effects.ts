import type { Finding } from "../../errors/index.js";
import { grouped, ownValue } from "../../errors/index.js";
import { normalPdf, tCdf, tQuantile } from "../../numeric/distributions/index.js";
import { inWords, mean, percent } from "../../numeric/figures/index.js";
import { effectsBeside, type SmoothEffect } from "../../regression/smooth/index.js";
import type { Response } from "../../study/definition/index.js";
import { type Change, type Coupon, measuredOf, type StudyData } from "../../study/record/index.js";
import { blockOf, measuredSize } from "../physical/index.js";
import type { Slips } from "./slip-findings.js";
import { smoothInputs } from "./smooth-inputs.js";

/** What something beside the settings did to a response, settings allowed for. */
export interface RunEffect {
  readonly response: string;
  readonly kind: "block" | "run-order" | "within-block" | "change";
  /** The block, or what was changed. */
  readonly what: string;
  /** Relative change (of one coupon to the next for an order), with its 95 % interval. */
  readonly change: number;
  readonly lower: number;
  readonly upper: number;
  /** Chance of so large an effect without a cause. */
  readonly p: number;
  /** Places from the first coupon to the last, of all or of the longest block; for an order only. */
  readonly span?: number;
}

/** Something that may have acted beside the settings, as a column over the coupons. */
interface Suspect {
  readonly kind: RunEffect["kind"];
  readonly what: string;
  readonly of: (coupon: Coupon) => number;
}

/** Chance, over all suspects of a response, of naming one without a cause. */
const FALSE_ALARM = 0.02;
const FEWEST = 10;
/** Coupons that each side of a block or a change needs. */
const SIDE = 3;
/** Effects of one response beyond which the rest is noise. */
const MOST = 3;

/**
 * Tests whether a day or another block, the run order, the place within a block (a plate that warms up and cools overnight)
 * or a logged change moved a response: each as a further column
 * beside a smooth of the settings ({@link effectsBeside}), the strongest first, until none is left. Coupons at one
 * setting, such as controls, count most, because nothing else moves them; those that look like slips are left out.
 *
 * Judged on logarithms, with Student's t and Bonferroni's bound for the number of suspects.
 */
export function runEffects(
  { definition, coupons }: StudyData,
  changes: readonly Change[],
  slips: Slips,
): readonly RunEffect[] {
  const inputs = smoothInputs({ definition, coupons });
  return definition.responses
    .filter(({ kind }) => kind === "measured")
    .flatMap((response) => {
      const odd = new Set(
        [...slips.values, ...slips.stations].flatMap((slip) =>
          slip.response === response.name ? [slip.coupon] : [],
        ),
      );
      const rows = coupons.flatMap((coupon, i) => {
        const value = measuredOf(coupon, response.name);
        const x = inputs[i];
        return value === undefined || !(value > 0) || x === undefined || odd.has(coupon.id)
          ? []
          : [{ coupon, y: Math.log(value), x }];
      });
      return rows.length < FEWEST
        ? []
        : effectsOn(response, rows, suspectsOf(definition.blocks, rows, changes));
    });
}

type Row = { readonly coupon: Coupon; readonly y: number; readonly x: readonly number[] };

function suspectsOf(
  blocks: readonly string[],
  rows: readonly Row[],
  changes: readonly Change[],
): readonly Suspect[] {
  const coupons = rows.map(({ coupon }) => coupon);
  const day = ({ time }: Coupon): string => time.slice(0, 10);
  const columns: readonly (readonly [name: string, of: (coupon: Coupon) => string | undefined])[] =
    blocks.length === 0
      ? [["the day", day]]
      : blocks.map((name) => [inWords(name), (coupon) => ownValue(coupon.blocks, name)]);
  const ofBlocks = columns.flatMap(([name, of]) => {
    const levels = [...new Set(coupons.map(of))].filter((level) => level !== undefined).sort();
    // Of two levels the later one is told against the first.
    return (levels.length === 2 ? levels.slice(1) : levels.length < 2 ? [] : levels).map(
      (level): Suspect => ({
        kind: "block",
        what: `${name} ${level}`,
        of: (coupon) => Number(of(coupon) === level),
      }),
    );
  });
  const order: Suspect = { kind: "run-order", what: "run order", of: ({ order: place }) => place };
  const places = new Map(coupons.map(({ id, order: place }) => [id, place]));
  const ofWithin = withinBlocks(coupons, blocks);
  const ofChanges = changes.map(({ what, before, time }): Suspect => {
    const first = before === undefined ? undefined : places.get(before);
    return {
      kind: "change",
      what: `${inWords(what)}${before === undefined ? "" : ` before ${before}`}`,
      of: (coupon) =>
        Number(first === undefined ? Date.parse(coupon.time) > Date.parse(time) : coupon.order >= first),
    };
  });
  return [...ofBlocks, order, ...ofWithin, ...ofChanges].filter(({ kind, of }) => {
    const values = coupons.map(of);
    if (isOrder(kind)) return new Set(values).size > SIDE;
    const on = values.reduce((sum, value) => sum + value, 0);
    return on >= SIDE && values.length - on >= SIDE;
  });
}

const isOrder = (kind: RunEffect["kind"]): boolean => kind === "run-order" || kind === "within-block";

/** The place of each coupon within its block, where there are several: in one block it is the run order. */
function withinBlocks(coupons: readonly Coupon[], blocks: readonly string[]): readonly Suspect[] {
  const groups = [...grouped(coupons, blockOf).values()];
  if (groups.length < 2) return [];
  const places = new Map(
    groups.flatMap((group) => {
      const inOrder = [...group].sort((a, b) => a.order - b.order);
      return inOrder.map(({ id }, place) => [id, place] as const);
    }),
  );
  const what = blocks.length === 0 ? "day" : inWords(blocks.length === 1 ? blocks[0]! : "block");
  return [{ kind: "within-block", what, of: ({ id }) => places.get(id)! }];
}

/**
 * A chance that Student's |T| > t is above, whatever its degrees of freedom: its tails are heavier than the normal law's,
 * and those no lighter than 2 phi(t) t / (1 + t^2). Student's law is slow to load, and a study without such effects seldom
 * needs it.
 *
 * @source lower bound of the normal tail: R. D. Gordon, Annals of Mathematical Statistics 12 (1941) 364
 */
const leastChance = (t: number): number => (2 * normalPdf(t) * t) / (1 + t * t);

function effectsOn(
  response: Response,
  rows: readonly Row[],
  suspects: readonly Suspect[],
): readonly RunEffect[] {
  const effectsOf = effectsBeside({ x: rows.map(({ x }) => x), y: rows.map(({ y }) => y) });
  const columnOf = ({ of }: Suspect): readonly number[] => {
    const values = rows.map(({ coupon }) => of(coupon));
    const middle = mean(values);
    return values.map((value) => value - middle);
  };
  const columns = new Map(suspects.map((suspect) => [suspect, columnOf(suspect)]));
  const freedom = (count: number): number => Math.max(3, rows.length - (rows[0]?.x.length ?? 0) - 1 - count);
  const chosen: { readonly suspect: Suspect; readonly p: number }[] = [];
  const beside = (...others: readonly Suspect[]): readonly SmoothEffect[] =>
    effectsOf([...chosen.map(({ suspect }) => suspect), ...others].map((suspect) => columns.get(suspect)!));
  while (chosen.length < MOST) {
    const tried = suspects
      .filter((suspect) => chosen.every((one) => one.suspect !== suspect))
      .map((suspect) => {
        const { estimate, standardError } = beside(suspect).at(-1)!;
        return { suspect, t: Math.abs(estimate / standardError) };
      });
    const best = tried.sort((a, b) => b.t - a.t)[0];
    const limit = FALSE_ALARM / suspects.length;
    if (best === undefined || !(leastChance(best.t) < limit)) break;
    const p = 2 * tCdf(-best.t, freedom(chosen.length + 1));
    if (!(p < limit)) break;
    chosen.push({ suspect: best.suspect, p });
  }
  if (chosen.length === 0) return [];
  const effects = beside();
  const t = tQuantile(0.975, freedom(chosen.length));
  return chosen.map(({ suspect: { kind, what, of }, p }, i): RunEffect => {
    const { estimate, standardError } = effects[i]!;
    const at = (shift: number): number => Math.expm1(estimate + shift * standardError);
    const places = rows.map(({ coupon }) => of(coupon));
    return {
      response: response.name,
      kind,
      what,
      change: at(0),
      lower: at(-t),
      upper: at(t),
      p,
      ...(isOrder(kind) ? { span: Math.max(...places) - Math.min(...places) } : {}),
    };
  });
}

/** The findings on what acted beside the settings. */
export function runEffectFindings(
  { definition }: Pick<StudyData, "definition">,
  effects: readonly RunEffect[],
): readonly Finding[] {
  return effects.map((effect): Finding => {
    const { response, kind, what, change, lower, upper, span } = effect;
    const role = measuredSize(definition.responses.find(({ name }) => name === response)!)?.role;
    const [more, less] =
      role === "width" || role === "clean-width"
        ? ["wider", "narrower"]
        : role === "height"
          ? ["higher", "lower"]
          : role === "penetration"
            ? ["deeper", "shallower"]
            : ["more", "less"];
    const decimals = isOrder(kind) ? 1 : 0;
    const ends = [Math.abs(lower), Math.abs(upper)].sort((a, b) => a - b);
    const size = `${percent(Math.abs(change), decimals)} ${change > 0 ? more : less}`;
    const interval = `95 % ${percent(ends[0]!, decimals).replace(" %", "")} to ${percent(ends[1]!, decimals)}`;
    const total =
      span === undefined
        ? ""
        : `, ${percent(Math.abs((1 + change) ** span - 1))} from the first coupon${kind === "within-block" ? ` of a ${what}` : ""} to the last`;
    const told: Readonly<Record<RunEffect["kind"], readonly [when: string, advice: string]>> = {
      block: [
        `on ${what} than on the others, at the same settings`,
        `look for what differed (gas, wire, tungsten, plate, who measured); ${
          definition.blocks.length === 0
            ? "name the block under blocks in study.json, so that `fit` takes a shift for each"
            : "`fit` takes a shift for each, where three or more were run"
        }`,
      ],
      "run-order": [
        "per coupon in run order, at the same settings",
        "look for wear or warming up (tungsten, contact tip, nozzle, plate); run the coupons to come in random order, and log what is changed",
      ],
      "within-block": [
        `from one coupon of a ${what} to the next, at the same settings`,
        "look for what warms up or wears within it (plate, torch, tungsten); let the plate come back to one temperature, and run a control coupon first and last",
      ],
      change: [
        `after the change of ${what}, at the same settings`,
        "judge the coupons before and after apart, or run some settings again",
      ],
    };
    const [when, advice] = told[kind];
    return {
      code: `${kind}-effect`,
      severity: "warning",
      message: `${response}: ${role === undefined ? "" : "beads "}${size} ${when} (${interval})${total}`,
      advice,
      about: [response],
    };
  });
}
