import { ownValue } from "../errors/index.js";
import { couponCost } from "../models/index.js";
import { counted, inWords, settingDigits, significant } from "../numeric/index.js";
import { processFacts, processOf } from "../process/index.js";
import { type Coupon, type Study, type StudyDefinition, wireText } from "../study/index.js";
import { withUnit } from "../units/index.js";
import { couponPrice } from "../window/index.js";
import { settingCell } from "./words.js";

/** A box of a coupon's card to write into. */
export interface SheetBox {
  readonly name: string;
  readonly unit: string;
  /** Readings along the bead to be written, or `verdict` for yes and no. */
  readonly kind: "readings" | "verdict";
}

/** A setting as it is read at the rig. */
export interface SheetSetting {
  readonly name: string;
  readonly value: string;
  /** Empty for a name or a plain number. */
  readonly unit: string;
  /** Whether it differs from the coupon before. */
  readonly changed: boolean;
}

/** One coupon of a run sheet. */
export interface SheetCard {
  readonly id: string;
  /** What the study planned it for, in words. */
  readonly role?: string;
  readonly isControl: boolean;
  readonly settings: readonly SheetSetting[];
}

/** What the coupons of a sheet take together. */
export interface SheetTotals {
  readonly coupons: number;
  /** Time at the rig, min. */
  readonly minutes: number;
  /** Shielding gas, L, and wire, m. */
  readonly gas: number;
  readonly wire: number;
  /** In the study's currency; absent where it states no costs. */
  readonly price?: number;
}

/** What is to be run, as plain data; every text is plain text. */
export interface RunSheet {
  readonly title: string;
  readonly subtitle: string;
  readonly cards: readonly SheetCard[];
  readonly boxes: readonly SheetBox[];
  /** Block columns to be filled in once for the sheet. */
  readonly blocks: readonly string[];
  readonly held: readonly string[];
  readonly checks: readonly string[];
  readonly cautions: readonly string[];
  readonly totals: SheetTotals;
}

/**
 * The coupons planned in a study as a sheet for the rig: settings in run order, those marked that change from the coupon
 * before, boxes to write into, what to set up, and what it all takes.
 *
 * @param coupons - coupons of the study, in run order
 * @param cautions - of the process, never to be left out
 */
export function runSheet(study: Study, coupons: readonly Coupon[], cautions: readonly string[]): RunSheet {
  const { definition } = study;
  const { factors, responses, blocks, name } = definition;
  return {
    title: `Run sheet: ${inWords(name)}`,
    subtitle: `${counted(coupons.length, "coupon")} in run order; process ${definition.process}, ${wireText(definition.wire)}`,
    cards: coupons.map(({ id, role, settings }, i) => ({
      id,
      ...(role === undefined ? {} : { role: ownValue(roleWords, role) ?? role }),
      isControl: role === "control",
      settings: factors.map((factor) => ({
        name: inWords(factor.name),
        value: settingCell(ownValue(settings, factor.name)),
        unit: factor.unit === "1" ? "" : factor.unit,
        changed: i > 0 && ownValue(settings, factor.name) !== ownValue(coupons[i - 1]!.settings, factor.name),
      })),
    })),
    boxes: responses.map(
      (response): SheetBox => ({
        name: inWords(response.name),
        unit: response.unit,
        kind: response.kind === "passFail" ? "verdict" : "readings",
      }),
    ),
    blocks: blocks.map(inWords),
    held: heldTexts(definition),
    checks: setUpChecks(definition),
    cautions,
    totals: totalsOf(definition, coupons),
  };
}

/** What a coupon is for, as someone at the rig says it; others go by their name. */
const roleWords: Readonly<Record<string, string>> = {
  control: "control coupon: the same settings every time",
  hit: "aims at what is wanted",
  explore: "explores",
  edge: "looks for the edge",
  confirm: "repeats the best setting",
  part: "tells settings apart",
};

/** What every coupon is run with. */
function heldTexts({ rig, gas, base }: StudyDefinition): readonly string[] {
  const settings = Object.entries(rig?.settings ?? {}).map(
    ([name, { value, unit }]) => `${inWords(name)} ${withUnit(settingDigits(value), unit)}`,
  );
  const flow = gas?.flow === undefined ? "" : ` at ${withUnit(settingDigits(gas.flow.value), gas.flow.unit)}`;
  const { thickness } = base ?? {};
  const thick =
    thickness === undefined ? "" : ` ${withUnit(settingDigits(thickness.value), thickness.unit)} thick`;
  return [
    ...settings,
    ...(gas === undefined ? [] : [`gas ${gas.code}${flow}`]),
    ...(base === undefined ? [] : [`base ${base.material ?? "plate"}${thick}`]),
  ];
}

/** What to look at before the first coupon. Common practice, no source. */
function setUpChecks({ process, wire, gas }: StudyDefinition): readonly string[] {
  const facts = processFacts(processOf(process));
  return [
    "Extraction on, oxygen alarm awake, screens up, fire watch at hand, emergency stop tried.",
    "Cooling water flows; its interlock stops the arc.",
    "Base clean and at the temperature coupons begin at; return clamp bare metal to bare metal.",
    ...(gas === undefined ? [] : [`Cylinder read and written down; flow of ${gas.code} set and no draught.`]),
    facts.wire === "electrode"
      ? "Contact tip and nozzle clean, tip distance measured."
      : facts.heat.source === "arc"
        ? "Tungsten ground, its projection measured, cup and lens clean."
        : "Optics clean, focus checked, enclosure shut and interlocked.",
    ...(wire === undefined
      ? []
      : [`Spool of ${wire.classification}; a timed length of wire agrees with the feed set.`]),
    "Torch zeroed on a gauge block at both ends of the bead.",
    "The first coupon of the day is a control coupon, or the last one is repeated.",
  ];
}

function totalsOf(definition: StudyDefinition, coupons: readonly Coupon[]): SheetTotals {
  const cost = couponCost({ definition });
  const price = couponPrice({ definition });
  const each = coupons.map(({ settings }) => ({ ...cost(settings), price: price?.(settings) }));
  const sum = (of: (one: (typeof each)[number]) => number): number =>
    each.reduce((total, one) => total + of(one), 0);
  return {
    coupons: coupons.length,
    minutes: sum(({ minutes }) => minutes),
    gas: sum(({ gas }) => gas),
    wire: sum(({ wire }) => wire),
    ...(price === undefined ? {} : { price: sum((one) => one.price!) }),
  };
}

/** What the coupons take, in a sentence. */
export function totalsText({ minutes, gas, wire, price }: SheetTotals, currency: string | undefined): string {
  return [
    `about ${significant(minutes)} min at the rig`,
    ...(gas > 0 ? [`${significant(gas)} L of gas`] : []),
    ...(wire > 0 ? [`${significant(wire)} m of wire`] : []),
    ...(price === undefined ? [] : [withUnit(significant(price), currency ?? "1")]),
  ].join(", ");
}
