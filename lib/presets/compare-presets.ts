import { type Finding, onlyDefined } from "../errors/index.js";
import { fromLinkScale, type OutcomeModel, type Settings } from "../models/index.js";
import { inWords, quantile } from "../numeric/index.js";
import { convert, isUnit, sameDimension } from "../units/index.js";
import { conformanceDraws, foreseeCoupons } from "../window/index.js";
import type { Preset, PresetSetting } from "./preset/index.js";

/** A setting of two presets in one unit; undefined where a preset does not say it. */
export interface SettingPair {
  readonly name: string;
  readonly unit: string;
  readonly a?: number | string;
  readonly b?: number | string;
  readonly same: boolean;
}

/** A range with its middle, in the unit of the pair. */
export interface Foretold {
  readonly median: number;
  readonly lower: number;
  readonly upper: number;
}

/** What two presets foretell of a response, in one unit: single coupons, 95 % of them. */
export interface PredictionPair {
  readonly response: string;
  readonly unit: string;
  /** What the study wants of it; absent where it asks for nothing, and without a study. */
  readonly wanted?: { readonly lower?: number; readonly upper?: number };
  readonly a: Foretold;
  readonly b: Foretold;
  /**
   * Second less first, of many coupons on average, with 95 % of what the coupons leave open; only under one and the same
   * study, since errors of two studies are not known together.
   */
  readonly difference?: { readonly estimate: number; readonly lower: number; readonly upper: number };
  /**
   * Whether they differ by more than their uncertainty: by the interval of the difference under one study, else where the middle
   * of neither lies within what the other foretells of single coupons.
   */
  readonly differs: boolean;
}

/** Two presets held against each other. Plain data. */
export interface PresetComparison {
  readonly kind: "presets";
  readonly a: string;
  readonly b: string;
  /** What predictions and chances rest on: one study for both, or what each preset says of itself. */
  readonly under: "study" | "own";
  readonly settings: readonly SettingPair[];
  readonly predicted: readonly PredictionPair[];
  /** Chance to conform in everything, with the 90 % interval of each. */
  readonly chance: {
    readonly a: { readonly value: number; readonly lower: number; readonly upper: number };
    readonly b: { readonly value: number; readonly lower: number; readonly upper: number };
    /** Second less first, with 90 % of what the coupons leave open, and the chance that the second is the better; under one study only. */
    readonly difference?: {
      readonly estimate: number;
      readonly lower: number;
      readonly upper: number;
      readonly secondBetter: number;
    };
    readonly differs: boolean;
  };
  readonly findings: readonly Finding[];
}

/**
 * Holds two presets against each other: settings side by side in the units of the first, what they foretell, and their chance to
 * conform, each with whether it differs by more than its uncertainty.
 *
 * Under a study both are judged by its coupons and its specification, and what the coupons leave open is taken as common to both,
 * which tells small differences; without one each says what it said when it was made, and only differences larger than both
 * uncertainties are told.
 *
 * @param options.model - the outcome model of a study with the settings of both presets
 * @param options.names - to tell the two apart. Default "first" and "second"
 */
export function comparePresets(
  a: Preset,
  b: Preset,
  options: { readonly model?: OutcomeModel; readonly names?: readonly [string, string] } = {},
): PresetComparison {
  const { model, names = ["first", "second"] } = options;
  const settings = settingPairs(a, b);
  const placed = model === undefined ? undefined : placedIn(model, a, b);
  const judged =
    model === undefined || placed?.settings === undefined
      ? ownWords(a, b)
      : underStudy(model, placed.settings);
  return {
    kind: "presets",
    a: names[0],
    b: names[1],
    settings,
    ...judged,
    findings: [...(placed?.findings ?? []), ...kindFindings(a, b)],
  };
}

function settingPairs(a: Preset, b: Preset): readonly SettingPair[] {
  const [one, other] = [a, b].map((preset) => [...preset.settings, ...preset.held]);
  const names = [...new Set([...one!, ...other!].map(({ name }) => name))];
  return names.map((name): SettingPair => {
    const [first, second] = [one!, other!].map((list) => list.find((setting) => setting.name === name));
    const unit = (first ?? second)!.unit;
    const [left, right] = [first, second].map((setting) => setting && valueIn(setting, unit));
    return {
      name,
      unit,
      ...(left === undefined ? {} : { a: left }),
      ...(right === undefined ? {} : { b: right }),
      same: equal(left, right),
    };
  });
}

/** A setting in another unit; as it stands where the units do not go together. */
function valueIn({ value, unit }: PresetSetting, wanted: string): number | string {
  if (typeof value === "string") return value;
  return isUnit(unit) && isUnit(wanted) && sameDimension(unit, wanted)
    ? convert(value, unit, wanted)
    : `${value} ${unit}`;
}

function equal(a: number | string | undefined, b: number | string | undefined): boolean {
  return typeof a === "number" && typeof b === "number"
    ? Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b))
    : a === b;
}

type Judged = Pick<PresetComparison, "under" | "predicted" | "chance">;

function ownWords(a: Preset, b: Preset): Judged {
  const predicted = a.predicted.flatMap((first): PredictionPair[] => {
    const second = b.predicted.find(({ name }) => name === first.name);
    if (second === undefined || !sameDimension(first.unit, second.unit)) return [];
    const there = (value: number): number => convert(value, second.unit, first.unit);
    const [one, other]: readonly [Foretold, Foretold] = [
      { median: first.median, lower: first.lower, upper: first.upper },
      { median: there(second.median), lower: there(second.lower), upper: there(second.upper) },
    ];
    const outside = (value: number, range: Foretold): boolean => value < range.lower || value > range.upper;
    return [
      {
        response: first.name,
        unit: first.unit,
        a: one,
        b: other,
        differs: outside(one.median, other) && outside(other.median, one),
      },
    ];
  });
  const [one, other] = [a.chance, b.chance];
  return {
    under: "own",
    predicted,
    chance: { a: one, b: other, differs: one.upper < other.lower || other.upper < one.lower },
  };
}

function underStudy(model: OutcomeModel, settings: readonly [Settings, Settings]): Judged {
  const [one, other] = foreseeCoupons(model, settings);
  const { conformances, chances, means } = conformanceDraws(model, settings);
  const apart = (values: readonly (readonly number[])[]): readonly number[] =>
    values[0]!.map((value, m) => values[1]![m]! - value);
  const predicted = one!.responses.map((first, r): PredictionPair => {
    const second = other!.responses[r]!;
    const link = model.latent.links[r]!;
    const [left, right] = means.map((draws) => draws.map((mean) => fromLinkScale(link, mean[r]!)));
    const differences = apart([left!, right!]);
    const difference = {
      estimate: second.median - first.median,
      lower: quantile(differences, 0.025),
      upper: quantile(differences, 0.975),
    };
    const range = ({ median, lower, upper }: Foretold): Foretold => ({ median, lower, upper });
    return {
      response: first.response,
      unit: first.unit,
      ...onlyDefined({ wanted: wantedOf(model, first.response) }),
      a: range(first),
      b: range(second),
      difference,
      differs: difference.lower > 0 || difference.upper < 0,
    };
  });
  const gains = apart(chances);
  const difference = {
    estimate: conformances[1]!.chance - conformances[0]!.chance,
    lower: quantile(gains, 0.05),
    upper: quantile(gains, 0.95),
    secondBetter: gains.filter((gain) => gain > 0).length / gains.length,
  };
  const [left, right] = conformances.map(({ chance, interval: [lower, upper] }) => ({
    value: chance,
    lower,
    upper,
  }));
  return {
    under: "study",
    predicted,
    chance: { a: left!, b: right!, difference, differs: difference.lower > 0 || difference.upper < 0 },
  };
}

function wantedOf({ definition }: OutcomeModel, response: string): PredictionPair["wanted"] {
  const { lower, upper } = definition.responses.find(({ name }) => name === response)?.spec ?? {};
  return lower === undefined && upper === undefined ? undefined : onlyDefined({ lower, upper });
}

/** The settings of both presets as the study takes them; without them where it cannot judge one. */
function placedIn(
  model: OutcomeModel,
  a: Preset,
  b: Preset,
): { readonly settings?: readonly [Settings, Settings]; readonly findings: readonly Finding[] } {
  const { definition } = model;
  const faults: string[] = [];
  const outside: string[] = [];
  const placed = [a, b].map((preset): Settings => {
    const said = [...preset.settings, ...preset.held];
    const entries = definition.factors.flatMap((factor): [string, number | string][] => {
      const found = said.find(({ name }) => name === factor.name);
      const value = found && valueIn(found, factor.unit);
      const numeric = factor.kind !== "category";
      if (
        value === undefined ||
        (typeof value === "number") !== numeric ||
        (!numeric && !(factor.levels ?? []).includes(value))
      ) {
        faults.push(`${inWords(factor.name)} ${value === undefined ? "is not said" : `is ${value}`}`);
        return [];
      }
      const slack = 1e-9 * (factor.high - factor.low);
      if (numeric && (Number(value) < factor.low - slack || Number(value) > factor.high + slack))
        outside.push(factor.name);
      return [[factor.name, value]];
    });
    return Object.fromEntries(entries);
  });
  if (faults.length > 0)
    return {
      findings: [
        {
          code: "not-of-this-study",
          severity: "warning",
          message: `the study cannot judge both presets (${[...new Set(faults)].join("; ")}): each is taken at its word`,
        },
      ],
    };
  const findings: readonly Finding[] =
    outside.length === 0
      ? []
      : [
          {
            code: "outside-study",
            severity: "warning",
            message: `${[...new Set(outside)].map(inWords).join(" and ")} of a preset lies outside the range of the study: what is foretold there rests on no coupon`,
            about: [...new Set(outside)],
          },
        ];
  return { settings: [placed[0]!, placed[1]!], findings };
}

/** Presets of unlike kind. */
function kindFindings(a: Preset, b: Preset): readonly Finding[] {
  const unlike = [
    ...(a.process === b.process ? [] : [`process ${a.process} and ${b.process}`]),
    ...(JSON.stringify(a.wire) === JSON.stringify(b.wire) ? [] : ["wire"]),
  ];
  return unlike.length === 0
    ? []
    : [
        {
          code: "unlike-presets",
          severity: "warning",
          message: `the presets differ in ${unlike.join(" and ")}: equal settings do not mean the same bead`,
        },
      ];
}
