/** One unit symbol: `value in base unit = value * factor + offset`. */
export interface UnitDefinition {
  readonly symbol: string;
  readonly dimension: string;
  readonly factor: number;
  readonly offset: number;
  /** Other spellings that are read, never written. */
  readonly aliases: readonly string[];
}

const INCH = 25.4;
/** Litres per cubic foot, exact: (0.3048 m)^3. */
const CUBIC_FOOT = 28.316846592;
const POUND = 453.59237;
const GALLON = 3.785411784;

/** symbol, factor to the base unit of its dimension, aliases, offset. The first row of a dimension is its base. */
const rows: Readonly<Record<string, readonly (readonly [string, number, (readonly string[])?, number?])[]>> =
  {
    current: [["A", 1, ["amp", "amps"]]],
    voltage: [["V", 1, ["volt", "volts"]]],
    power: [
      ["W", 1],
      ["kW", 1000],
    ],
    length: [
      ["mm", 1],
      ["um", 1e-3, ["µm", "μm"]],
      ["cm", 10],
      ["m", 1000],
      ["in", INCH, ["inch", '"']],
      ["ft", 12 * INCH],
    ],
    speed: [
      ["mm/s", 1],
      ["mm/min", 1 / 60],
      ["cm/min", 10 / 60],
      ["m/min", 1000 / 60],
      ["in/min", INCH / 60, ["ipm", "inch/min"]],
      ["in/s", INCH],
      ["ft/min", (12 * INCH) / 60],
    ],
    area: [
      ["mm2", 1, ["mm^2", "mm²"]],
      ["in2", INCH * INCH, ["in^2"]],
    ],
    volume: [
      ["L", 1, ["l"]],
      ["mL", 1e-3, ["ml"]],
      ["m3", 1000, ["m^3", "m³"]],
      ["mm3", 1e-6, ["mm^3", "mm³"]],
      ["ft3", CUBIC_FOOT, ["ft^3", "cf"]],
    ],
    flow: [
      ["L/min", 1, ["l/min", "lpm"]],
      ["mL/min", 1e-3, ["ml/min"]],
      ["L/h", 1 / 60, ["l/h"]],
      ["m3/h", 1000 / 60, ["m^3/h", "m³/h"]],
      ["ft3/h", CUBIC_FOOT / 60, ["cfh", "ft^3/h"]],
      ["gal/min", GALLON, ["gpm"]],
    ],
    time: [
      ["s", 1, ["sec"]],
      ["ms", 1e-3],
      ["us", 1e-6, ["µs", "μs"]],
      ["min", 60],
      ["h", 3600, ["hr"]],
      ["d", 86400],
    ],
    frequency: [
      ["Hz", 1, ["1/s"]],
      ["kHz", 1000],
    ],
    temperature: [
      ["degC", 1, ["°C", "celsius"], 0],
      ["degF", 1 / 1.8, ["°F", "fahrenheit"], -32 / 1.8],
      ["K", 1, ["kelvin"], -273.15],
    ],
    "line energy": [
      ["J/mm", 1],
      ["kJ/mm", 1000],
      ["kJ/cm", 100],
      ["kJ/in", 1000 / INCH],
    ],
    energy: [
      ["J", 1],
      ["kJ", 1000],
    ],
    angle: [
      ["deg", 1, ["°"]],
      ["rad", 180 / Math.PI],
    ],
    mass: [
      ["g", 1],
      ["kg", 1000],
      ["mg", 1e-3],
      ["lb", POUND, ["lbs"]],
      ["oz", POUND / 16],
    ],
    "mass rate": [
      ["g/s", 1],
      ["g/min", 1 / 60],
      ["kg/h", 1000 / 3600],
      ["lb/h", POUND / 3600],
    ],
    density: [
      ["g/cm3", 1, ["g/cm^3"]],
      ["kg/m3", 1e-3, ["kg/m^3"]],
      ["lb/in3", POUND / (INCH * INCH * INCH * 1e-3), ["lb/in^3"]],
    ],
    "volumetric heat": [
      ["J/mm3", 1, ["J/mm^3"]],
      ["J/cm3", 1e-3, ["J/cm^3"]],
    ],
    "volumetric heat capacity": [["J/(mm3 K)", 1]],
    "thermal conductivity": [
      ["W/(mm K)", 1],
      ["W/(m K)", 1e-3],
    ],
    "heat transfer coefficient": [["W/(m2 K)", 1]],
    pressure: [
      ["bar", 1],
      ["mbar", 1e-3],
      ["Pa", 1e-5],
      ["kPa", 1e-2],
      ["MPa", 10],
      ["psi", 0.0689475729316836],
      ["inH2O", 249.08891e-5],
    ],
    ratio: [
      ["1", 1, ["", "-"]],
      ["%", 1e-2, ["percent"]],
      ["ppm", 1e-6],
    ],
  };

const definitions = Object.entries(rows).flatMap(([dimension, list]) =>
  list.map(
    ([symbol, factor, aliases = [], offset = 0]): UnitDefinition => ({
      symbol,
      dimension,
      factor,
      offset,
      aliases,
    }),
  ),
);

/** Every unit, keyed by symbol and alias. */
export const unitTable: ReadonlyMap<string, UnitDefinition> = new Map(
  definitions.flatMap((unit) => [unit.symbol, ...unit.aliases].map((key) => [key, unit] as const)),
);

/** Symbols of one dimension, base unit first. */
export function symbolsOf(dimension: string): readonly string[] {
  return definitions.filter((unit) => unit.dimension === dimension).map((unit) => unit.symbol);
}
