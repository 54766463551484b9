import { BeadbenchError } from "../errors/index.js";
import {
  type ExposureKind,
  exposureKinds,
  exposureUnits,
  isExposureKind,
} from "../study/definition/index.js";
import type { Exposure } from "../study/journal/index.js";
import { suggestion } from "../study/shape/index.js";
import { readQuantity } from "../units/index.js";
import { namedText } from "./options.js";

/**
 * Reads running typed as `arc_time="3.2 h" starts=40 wire="120 m"`.
 *
 * @throws {BeadbenchError} `bad-argument` naming the word and how to write it
 */
export function parseExposure(items: readonly string[]): Exposure {
  return Object.fromEntries(
    items.map((item) => {
      const [name, text] = namedText(item);
      const kind = requireExposureKind(name, item);
      const unit = exposureUnits[kind];
      const quantity = readQuantity(text, { like: unit, ...(unit === "1" ? { bare: "1" } : {}) });
      if (typeof quantity === "string") throw new BeadbenchError("bad-argument", `"${item}" ${quantity}`);
      return [kind, quantity];
    }),
  );
}

/** Reads what the chance of each kind of incident grows with: `wire_stuck=starts`. */
export function parsePer(items: readonly string[]): Readonly<Record<string, ExposureKind>> {
  return Object.fromEntries(
    items.map((item) => {
      const [name, text] = namedText(item);
      return [name, requireExposureKind(text, item)];
    }),
  );
}

/** A kind of running, checked. */
export function requireExposureKind(name: string, item = name): ExposureKind {
  if (isExposureKind(name)) return name;
  throw new BeadbenchError(
    "bad-argument",
    `"${item}": running is counted as ${exposureKinds.join(", ")}${suggestion(name, exposureKinds)}`,
  );
}
