import { ownValue } from "../errors/index.js";
import { type UnitDefinition, unitTable } from "./table.js";

/** Spellings of the shop floor beyond the table's symbols and aliases, in small letters. */
const shopSpellings: Readonly<Record<string, string>> = {
  f: "degF",
  c: "degC",
  "deg f": "degF",
  "deg c": "degC",
  "''": "in",
  "in.": "in",
  inches: "in",
  "'": "ft",
  feet: "ft",
  mpm: "m/min",
  "in./min": "in/min",
  "in/sec": "in/s",
  ips: "in/s",
  fpm: "ft/min",
  mins: "min",
  minutes: "min",
  secs: "s",
  seconds: "s",
  hrs: "h",
  hours: "h",
  "lb/hr": "lb/h",
  "lbs/hr": "lb/h",
  "lbs/h": "lb/h",
  "kg/hr": "kg/h",
  "cu ft": "ft3",
  scfh: "ft3/h",
  slpm: "L/min",
  degrees: "deg",
};

/** Table spellings in small letters, for shouted units (IPM, CFH) of two letters and more. */
const anyCase: ReadonlyMap<string, UnitDefinition> = new Map(
  [...unitTable].filter(([key]) => key.length > 1).map(([key, unit]) => [key.toLowerCase(), unit]),
);

/** Spellings that mean another unit when read letter by letter: millipascal is no MPa, megagram no mg. */
const misleading: ReadonlySet<string> = new Set(["mPa", "Mg"]);

/** The unit that a spelling means: a symbol, an alias, a word of the shop, capitals or not. */
export function unitSpelt(spelling: string): UnitDefinition | undefined {
  const written = spelling.trim();
  const exact = unitTable.get(written);
  if (exact !== undefined || misleading.has(written)) return exact;
  const small = written.toLowerCase();
  const shop = Object.hasOwn(shopSpellings, small)
    ? unitTable.get(ownValue(shopSpellings, small)!)
    : undefined;
  return shop ?? anyCase.get(small);
}
