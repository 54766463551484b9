import type { Finding } from "../../errors/index.js";
import { fixed } from "../../numeric/index.js";
import type { Coefficient } from "./form.js";

/** Says which exponents the coupons hardly determine. */
export function vagueExponents(response: string, exponents: readonly Coefficient[]): readonly Finding[] {
  const vague = exponents.filter(({ lower, upper }) => upper - lower > 1.5);
  if (vague.length === 0) return [];
  return [
    {
      code: "vague-exponent",
      severity: "warning",
      message: `${response}: the data hardly determine the exponents of ${vague.map((e) => `${e.term} +- ${fixed(e.standardError, 2)}`).join(", ")} (standard errors)`,
      advice:
        "their predictions hold only along the settings that were run; `beadbench next` proposes coupons that part the settings",
      about: exponents.map(({ term }) => term),
    },
  ];
}
