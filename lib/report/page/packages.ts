import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { ownValue } from "../../errors/index.js";

/** The packages that evaluating a model loads when it first needs them. */
const packages: Readonly<Record<string, unknown>> = {
  "@stdlib/stats-base-dists-normal-cdf": normalCdf,
  "@stdlib/stats-base-dists-normal-quantile": normalQuantile,
};

/** Stands in the page for Node's way of loading a package late: there, all that is needed is in the script already. */
export function createRequire(): (name: string) => unknown {
  return (name) => {
    const found = ownValue(packages, name);
    if (found === undefined) throw new Error(`the page's script does not hold ${name}`);
    return found;
  };
}
