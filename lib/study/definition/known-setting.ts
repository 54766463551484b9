import {
  convert,
  findUnit,
  type Quantity,
  readQuantity,
  sameDimension,
  withUnit,
} from "../../units/index.js";
import type { Factor, Response } from "./definition.js";
import { meantColumns } from "./meant-columns.js";
import { kindRules } from "./response-kind.js";
import { isSizeName } from "./trade-words.js";
import { isJudgement, readVerdict, readYesNo } from "./yes-no.js";

/**
 * A setting that once ran, outside the record: remembered, or written on a scrap. Plain data.
 */
export interface KnownSetting {
  /** The user's own words. */
  readonly said?: string;
  /** By factor, in the factors' units; what is left out is not known. */
  readonly settings: Readonly<Record<string, number | string>>;
  /** Whether everything was within specification and every check passed. */
  readonly good?: boolean;
  /** Readings by response, in its unit. */
  readonly measured?: Readonly<Record<string, number>>;
  /** Verdicts by check. */
  readonly passed?: Readonly<Record<string, boolean>>;
}

/** What the words of a known setting are read by. */
export interface KnownPlace {
  readonly factors: readonly Factor[];
  readonly responses: readonly Response[];
  readonly rig?: { readonly settings: Readonly<Record<string, Quantity>> };
}

/** How such words are written, for messages and helps. */
export const KNOWN_RULE =
  'name settings with their units and say how it ran, parted by commas: "150 A, 1.2 m/min, good", "current=150A, width 6 mm, sound fail"';

/** What has been read so far, and by what. */
interface Reading {
  readonly place: KnownPlace;
  readonly settings: Record<string, number | string>;
  readonly measured: Record<string, number>;
  readonly passed: Record<string, boolean>;
  good?: boolean;
}

/**
 * Reads a setting that once ran, in a user's words: quantities that mean a factor by their unit, `name=value` or
 * `name value`, and how it ran: good or poor, a check passed or failed, a reading.
 *
 * @returns what was understood, in the study's units, or what is wrong and how to write it
 */
export function readKnownSetting(place: KnownPlace, said: string): KnownSetting | string {
  if (/\d,\d/.test(said))
    return "has a comma between two digits; write a decimal point, and a blank after commas that part";
  const parts = said
    .split(/[,;]/)
    .map((part) => part.trim())
    .filter((part) => part !== "");
  const reading: Reading = { place, settings: {}, measured: {}, passed: {} };
  for (const part of parts) {
    const fault = readPart(part, reading);
    if (fault !== undefined) return `"${part}" ${fault}`;
  }
  const { settings, measured, passed, good } = reading;
  if (Object.keys(settings).length === 0) return `names no setting; ${KNOWN_RULE}`;
  if (good === undefined && Object.keys(measured).length + Object.keys(passed).length === 0)
    return `does not say how it ran; ${KNOWN_RULE}`;
  return {
    said,
    settings,
    ...(good === undefined ? {} : { good }),
    ...(Object.keys(measured).length === 0 ? {} : { measured }),
    ...(Object.keys(passed).length === 0 ? {} : { passed }),
  };
}

/** Reads one part into what was read before; returns what is wrong with it. */
function readPart(part: string, reading: Reading): string | undefined {
  const judged = judgement(part);
  if (judged !== undefined) {
    if (reading.good !== undefined && reading.good !== judged)
      return "says the opposite of what stands before";
    reading.good = judged;
    return undefined;
  }
  const [word, rest] = nameAndValue(part);
  const names = word === undefined ? [] : meantColumns({ ...reading.place, blocks: [] }, word);
  if (names.length === 0) return readAlone(part, reading);
  const fitting = names.filter((name) => !isTaken(reading, name));
  if (fitting.length > 1) return `may mean ${fitting.join(" or ")}; write more of the name`;
  if (fitting.length === 0) return "stands twice; give it once";
  return readNamed(fitting[0]!, rest, reading);
}

const isTaken = ({ settings, measured, passed }: Reading, name: string): boolean =>
  [settings, measured, passed].some((found) => Object.hasOwn(found, name));

/** `current=150A`, `width 6 mm`, `fusion failed`, `sound`: a name and what follows it. */
function nameAndValue(part: string): readonly [word: string | undefined, rest: string] {
  const found = /^([A-Za-z]\w*)\s*(?:[=:\s]\s*(.*))?$/.exec(part);
  return found === null ? [undefined, part] : [found[1], found[2] ?? ""];
}

function readNamed(name: string, text: string, reading: Reading): string | undefined {
  const { place } = reading;
  const factor = place.factors.find((one) => one.name === name);
  if (factor !== undefined) return readFactor(factor, text, reading);
  const response = place.responses.find((one) => one.name === name)!;
  if (kindRules(response.kind).cells === "verdicts") {
    const verdict = text === "" ? true : (judgement(text) ?? readVerdict(response, text));
    if (typeof verdict === "string") return verdict;
    reading.passed[name] = verdict;
    return undefined;
  }
  if (response.kind !== "measured") return `is graded; say good or poor, or a reading of a measured response`;
  const value = inUnit(text, response.unit);
  if (typeof value === "string") return value;
  if (value < 0 && isSizeName(name)) return "cannot be below 0; check the sign";
  reading.measured[name] = value;
  return undefined;
}

function readFactor(factor: Factor, text: string, reading: Reading): string | undefined {
  if (factor.kind === "category") {
    const level = levelOf(factor, text);
    if (level === undefined) return `is no level of ${factor.name}: ${factor.levels!.join(", ")}`;
    reading.settings[factor.name] = level;
    return undefined;
  }
  const value = inUnit(text, factor.unit);
  if (typeof value === "string") return value;
  return take(factor, value, reading);
}

/** Share of a factor's range by which a setting may lie beyond it and still tell something. */
const BEYOND = 0.5;

function take({ name, unit, low, high }: Factor, value: number, reading: Reading): string | undefined {
  const margin = BEYOND * (high - low);
  if (value < low - margin || value > high + margin)
    return `lies far outside the range of ${name}, ${withUnit(`${low} to ${high}`, unit)}, where it tells nothing; leave the run out, or check value and unit`;
  reading.settings[name] = value;
  return undefined;
}

const levelOf = ({ levels = [] }: Factor, text: string): string | undefined =>
  levels.map(String).find((level) => level.toLowerCase() === text.trim().toLowerCase());

function inUnit(text: string, unit: string): number | string {
  const found = readQuantity(text, { like: unit, bare: unit });
  return typeof found === "string" ? found : convert(found.value, found.unit, findUnit(unit).symbol);
}

/** A quantity without a name, or a level of a category. */
function readAlone(part: string, reading: Reading): string | undefined {
  const { place } = reading;
  const category = place.factors.find(
    (factor) => factor.kind === "category" && levelOf(factor, part) !== undefined,
  );
  if (category !== undefined) return readFactor(category, part, reading);
  if (!/^[-+\u2212\d.]/.test(part)) return `names neither a setting nor how it ran; ${KNOWN_RULE}`;
  const quantity = readQuantity(part);
  if (typeof quantity === "string") return quantity;
  const ofKind = place.factors.filter(
    ({ kind, unit }) => kind !== "category" && sameDimension(unit, quantity.unit),
  );
  const alike = ofKind.filter(({ name }) => !isTaken(reading, name));
  if (alike.length === 0 && ofKind.length > 0)
    return `stands for ${ofKind.map(({ name }) => name).join(" or ")} a second time; give it once`;
  const fitting = onlyOne(alike, quantity);
  if (fitting !== undefined)
    return take(fitting, convert(quantity.value, quantity.unit, fitting.unit), reading);
  if (alike.length > 1)
    return `may mean ${alike.map(({ name }) => name).join(" or ")}; write ${alike[0]!.name}="${part}"`;
  return heldFault(place, quantity);
}

/** The factor a quantity means: the only one of its kind, the only one whose range holds it, the only one in its unit. */
function onlyOne(alike: readonly Factor[], quantity: Quantity): Factor | undefined {
  const inRange = ({ unit, low, high }: Factor): boolean => {
    const value = convert(quantity.value, quantity.unit, unit);
    return value >= low && value <= high;
  };
  const rules: readonly ((factor: Factor) => boolean)[] = [
    () => true,
    inRange,
    (factor) => factor.unit === quantity.unit,
  ];
  for (const rule of rules) {
    const found = alike.filter(rule);
    if (found.length === 1) return found[0];
  }
  return undefined;
}

/** How far a setting held constant may differ from what was said, as a share. */
const ALIKE = 0.05;

/** Why a quantity that no factor takes tells nothing here; undefined where it says what the rig holds anyhow. */
function heldFault({ rig }: KnownPlace, quantity: Quantity): string | undefined {
  const held = Object.entries(rig?.settings ?? {}).filter(([, { unit }]) =>
    sameDimension(unit, quantity.unit),
  );
  if (held.length === 0)
    return "is of a kind that no factor of this study is; leave it out, or name the reading";
  const same = held.some(
    ([, { value, unit }]) =>
      Math.abs(convert(quantity.value, quantity.unit, unit) - value) <= ALIKE * Math.abs(value),
  );
  const [name, { value, unit }] = held[0]!;
  return same
    ? undefined
    : `is not what this study holds: ${name} is ${withUnit(String(value), unit)} throughout, and a run at another tells little here`;
}

/** Good or poor, in the words of a verdict that judges by itself, or as one says it of a run. */
function judgement(word: string): boolean | undefined {
  const plain = word.trim().toLowerCase();
  if (["poor", "failed"].includes(plain)) return false;
  if (["fine", "passed"].includes(plain)) return true;
  return isJudgement(plain) ? readYesNo(plain) : undefined;
}
