import { BeadbenchError } from "../errors/index.js";
import { type Quantity, readQuantity } from "../units/index.js";
import { namedText } from "./options.js";

/**
 * Gathers `--assume name=quantity`, given once or more. A bare number is taken as one: what needs a unit is told so by
 * whoever assumes it.
 */
export function assumeOption(
  text: string,
  before: Readonly<Record<string, Quantity>> = {},
): Readonly<Record<string, Quantity>> {
  const [name, written] = namedText(text, 'write it as name=quantity, such as gauge_sd="0.05 mm"');
  const quantity = readQuantity(written, { bare: "1" });
  if (typeof quantity === "string")
    throw new BeadbenchError("bad-argument", `--assume "${text}": ${quantity}`);
  return { ...before, [name]: quantity };
}
