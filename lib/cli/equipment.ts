import { z } from "zod";
import { errorFromIssues, parseJson, schemaIssues } from "../errors/index.js";
import type { Equipment } from "../process/index.js";
import { typedIn } from "./options.js";

/** A quantity written as text with its unit, wanted in another. */
const quantity = (unit: string) =>
  z.string(`write a text with its unit, such as "1 ${unit}"`).transform((text, context) => {
    try {
      return typedIn(text, unit);
    } catch (error) {
      context.addIssue({ code: "custom", message: (error as Error).message });
      return z.NEVER;
    }
  });

const rating = z.strictObject({
  current: quantity("A"),
  duty: z.number().positive().max(1),
  largestCurrent: quantity("A").optional(),
});

const schema = z.strictObject({
  source: rating.optional(),
  torch: rating.optional(),
  tungsten: z
    .strictObject({ diameter: quantity("mm"), polarity: z.enum(["dc-negative", "dc-positive", "ac"]) })
    .optional(),
  orifice: z.strictObject({ current: quantity("A"), plasmaGas: quantity("L/min").optional() }).optional(),
  cup: z.strictObject({ bore: quantity("mm") }).optional(),
  feeder: z.strictObject({ largestSpeed: quantity("mm/s") }).optional(),
  water: z
    .strictObject({
      flow: quantity("L/min"),
      inlet: quantity("degC"),
      outletLimit: quantity("degC").optional(),
    })
    .optional(),
  margin: z.number().min(0).max(0.9).optional(),
});

/**
 * Reads a file of the makers' ratings, quantities as text with their unit.
 *
 * @throws {BeadbenchError} `bad-file` naming each path and what was expected
 */
export function parseEquipment(text: string, file: string): Equipment {
  const raw = parseJson(text, file);
  const result = schema.safeParse(raw);
  if (!result.success) {
    throw errorFromIssues(
      "bad-file",
      `${file} is no list of equipment; see the example in schemas/README.md:`,
      schemaIssues({ file, text, raw }, result.error.issues),
    );
  }
  return result.data as Equipment;
}
