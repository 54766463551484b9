import { wireCard } from "../../models/index.js";
import { interpassLimits } from "../../process/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { convert } from "../../units/index.js";

/** Highest interpass temperature that the study itself allows, degC. */
export function studyInterpass({ definition }: DefinedStudy): number | undefined {
  for (const limit of definition.limits) {
    if ("quantity" in limit && limit.quantity === "interpass_temperature" && limit.max !== undefined)
      return convert(limit.max, limit.unit, "degC");
  }
  return undefined;
}

/** Usual interpass limit of the wire's alloy, degC, and the alloy's family; undefined for a wire without a card. */
export function usualInterpass({
  definition,
}: DefinedStudy): { readonly family: string; readonly limit: number } | undefined {
  const card = wireCard(definition);
  return card === undefined ? undefined : { family: card.family, limit: interpassLimits[card.family].value };
}
