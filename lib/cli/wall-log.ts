import type { WallReading } from "../endurance/index.js";
import { ownValue, requireNumber } from "../errors/index.js";
import { STANDOFF_BOUNDS } from "../models/index.js";
import { readTable, type TableRow, type TableSource } from "../study/index.js";
import { possible } from "./readings.js";

const optional = (row: TableRow, name: string): number | null =>
  ownValue(row, name) === undefined ? null : Number(ownValue(row, name));

/**
 * Reads a log of walls from CSV: layer [1], standoff [mm] before the layer, rise [mm] after it, height [mm] of the wall
 * after it, temperature [degC] before it, wall (a name); all but the layer may be missing or left empty.
 *
 * @throws {BeadbenchError} `bad-csv` listing every fault with line and column
 */
export function wallLog(text: string, source: TableSource): readonly WallReading[] {
  return readTable(
    text,
    [
      { name: "layer", unit: "1", check: (layer) => requireNumber("layer", layer, { min: 1, max: 5000 }) },
      {
        name: "standoff",
        unit: "mm",
        optional: true,
        check: (value) => requireNumber("stand-off", value, { ...STANDOFF_BOUNDS, unit: "mm" }),
      },
      {
        name: "rise",
        unit: "mm",
        optional: true,
        check: (value) => requireNumber("rise", value, { min: -20, max: 20, unit: "mm" }),
      },
      {
        name: "height",
        unit: "mm",
        optional: true,
        check: (value) => requireNumber("height", value, { above: 0, max: 5000, unit: "mm" }),
      },
      { name: "temperature", unit: "degC", optional: true, check: possible("temperature") },
      { name: "wall", unit: "text", optional: true },
    ],
    source,
  ).map((row) => ({
    ...(row.wall === undefined ? {} : { wall: String(row.wall) }),
    layer: Number(row.layer),
    standoff: optional(row, "standoff"),
    rise: optional(row, "rise"),
    height: optional(row, "height"),
    temperature: optional(row, "temperature"),
  }));
}
