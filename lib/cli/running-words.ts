import { significant } from "../numeric/figures/index.js";
import { type ExposureKind, exposureUnits } from "../study/definition/index.js";

const nouns: Readonly<Record<ExposureKind, string>> = {
  starts: "starts",
  layers: "layers",
  arc_time: "h of arc",
  machine_time: "h switched on",
  wire: "m of wire",
  gas: "L of gas",
};

/** An amount of running in words: "12.5 h of arc". */
export function runningText(kind: ExposureKind, amount: number): string {
  const value = exposureUnits[kind] === "1" ? String(Math.round(amount)) : significant(amount);
  return `${value} ${nouns[kind]}`;
}

/** What one unit of running is called: "start", "h of arc". */
export function perText(kind: ExposureKind): string {
  return nouns[kind].replace(/^(start|layer)s$/, "$1");
}
