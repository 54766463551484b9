import { BeadbenchError } from "../errors/index.js";
import type { StudyDefinition } from "../study/index.js";
import { convert, findUnit, isUnit, parseQuantity } from "../units/index.js";
import type { Budget } from "../window/index.js";

/** An amount of money: a number beside the name or sign of a currency, either way round. */
const money = /^\s*(?:([\d.,]+)\s*(\p{L}{3}|\p{Sc})|(\p{L}{3}|\p{Sc})\s*([\d.,]+))\s*$/u;

/**
 * Money, minutes, litres of gas and metres of wire from texts such as "40 EUR" or "240 min".
 *
 * @throws {BeadbenchError} `bad-argument` for an amount of anything else, not above 0, or money without costs in the study
 */
export function readBudget(texts: readonly string[], definition: StudyDefinition): Budget {
  return Object.fromEntries(
    texts.map((text): [keyof Budget, number] => {
      const [kind, amount] = moneyOf(text, definition) ?? quantityOf(text);
      if (amount > 0) return [kind, amount];
      throw new BeadbenchError("bad-argument", `--budget "${text}" must be more than 0`);
    }),
  );
}

function moneyOf(text: string, { costs }: StudyDefinition): [keyof Budget, number] | undefined {
  const found = money.exec(text);
  const named = found?.[2] ?? found?.[3];
  const amount = found?.[1] ?? found?.[4];
  const [, number, unit] = /^\s*([\d.,]+)\s*(\S+)\s*$/.exec(text) ?? [];
  // A word that is a unit is none of money: min is minutes.
  if (named === undefined || amount === undefined || (number !== undefined && isUnit(unit!)))
    return undefined;
  if (costs === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `--budget "${text}" is money, but this study states no costs; write them in study.json under "costs", or give a time`,
    );
  }
  const { currency = named } = costs;
  if (named.toUpperCase() !== currency.toUpperCase()) {
    throw new BeadbenchError(
      "bad-argument",
      `--budget "${text}": the costs of this study are in ${currency}; write "${amount} ${currency}"`,
    );
  }
  return ["money", parseQuantity(`${amount} m`).value];
}

function quantityOf(text: string): [keyof Budget, number] {
  const { value, unit } = parseQuantity(text);
  const { dimension } = findUnit(unit);
  if (dimension === "time") return ["minutes", convert(value, unit, "min")];
  if (dimension === "volume") return ["gas", convert(value, unit, "L")];
  if (dimension === "length") return ["wire", convert(value, unit, "m")];
  throw new BeadbenchError(
    "bad-argument",
    `--budget "${text}" is ${dimension}; give money, a time, litres of gas or metres of wire`,
  );
}
