import { BeadbenchError } from "../../errors/index.js";
import { type Override, withOverrides } from "../handbook/index.js";
import { meltingEnthalpy } from "../wire/index.js";
import { aluminiumCards } from "./material-data-aluminium.js";
import { nickelCopperTitaniumCards } from "./material-data-nickel-copper-titanium.js";
import { steelCards } from "./material-data-steel.js";
import { type CardProperty, cardProperties, type MaterialCard } from "./material-types.js";

/** Cards of the common deposition wires. Lots, prices and certificates belong to the spool record. */
export const materialCards: readonly MaterialCard[] = [
  ...steelCards,
  ...aluminiumCards,
  ...nickelCopperTitaniumCards,
];

const spelled = (name: string): string => name.toUpperCase().replace(/[^A-Z0-9]/g, "");

/**
 * The card of a wire, by its AWS or ISO classification (a standard number in front is read over).
 * The user's values win over the card's and say so.
 *
 * @throws {BeadbenchError} `not-found` naming the wires that have a card; `bad-argument` for a value that is no number
 * @example materialCard("AWS A5.18 ER70S-6").id // => "ER70S-6"
 */
export function materialCard(
  classification: string,
  overrides: Readonly<Partial<Record<CardProperty, Override>>> = {},
): MaterialCard {
  const wanted = spelled(classification);
  const card = materialCards.find((candidate) =>
    [candidate.id, candidate.iso].some((name) => wanted === spelled(name) || wanted.endsWith(spelled(name))),
  );
  if (card === undefined) {
    throw new BeadbenchError(
      "not-found",
      `no material card for "${classification}"; there are cards for ${materialCards.map(({ id }) => id).join(", ")}`,
    );
  }
  const wrong = Object.keys(overrides).find((name) => !cardProperties.includes(name as CardProperty));
  if (wrong !== undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `a material card has no "${wrong}"; it has ${cardProperties.join(", ")}`,
    );
  }
  return { ...card, properties: withOverrides(card.properties, overrides) };
}

/**
 * Heat that melts a cubic millimetre of a card's wire, J/mm3.
 *
 * @param startTemperature - degC. Default 20
 * @example cardEnthalpy(materialCard("ER70S-6")) // => 10.01974
 */
export function cardEnthalpy(card: MaterialCard, startTemperature = 20): number {
  const { density, meanSpecificHeat, meltTemperature, latentHeat } = card.properties;
  return meltingEnthalpy(
    {
      density: density.value,
      meanSpecificHeat: meanSpecificHeat.value,
      meltTemperature: meltTemperature.value,
      latentHeat: latentHeat.value,
    },
    startTemperature,
  );
}
