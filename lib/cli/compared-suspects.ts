import type { Finding } from "../errors/index.js";
import { buildOutcomeModel, type LayerSet, outcomeData } from "../models/index.js";
import { percent } from "../numeric/index.js";
import type { Study } from "../study/index.js";

/** Coupons of a comparison, and the study's name where another one is compared with it. */
interface Compared {
  readonly isCompared: (coupon: Study["coupons"][number]) => boolean;
  readonly name?: string;
}

/** Coupons compared that the outcome model holds suspect: a comparison counts them in full, and one slip widens all ranges. */
export function doubtedIn(
  study: Study,
  chosen: { readonly without?: readonly string[]; readonly layers?: LayerSet },
  { isCompared, name }: Compared,
): readonly Finding[] {
  const data = outcomeData(study, chosen);
  if (data.coupons.length === 0) return [];
  const { suspects, findings } = buildOutcomeModel(data);
  const named = new Set(findings.flatMap(({ code, about }) => (code === "suspect-coupon" ? about : [])));
  const compared = new Set(data.coupons.filter(isCompared).map(({ id }) => id));
  const doubted = suspects.filter(({ coupon }) => named.has(coupon) && compared.has(coupon));
  if (doubted.length === 0) return [];
  const ids = doubted.map(({ coupon }) => coupon);
  const said = doubted.map(({ coupon, chance }) => `${coupon} (chance ${percent(Math.min(chance, 0.99))})`);
  const sheets = ids.length === 1 ? "its sheet" : "their sheets";
  return [
    {
      code: "suspect-coupon",
      severity: "warning",
      message: `likely wrong on paper${name === undefined ? "" : ` in ${name}`}, yet counted in full here: ${said.join(", ")}; one slip widens every range`,
      advice:
        name === undefined
          ? `look at ${sheets}, and compare once more with --without ${[...(chosen.without ?? []), ...ids].join(",")}`
          : `look at ${sheets} and mend the record there (\`beadbench check\` says how), then compare once more`,
      about: ids,
    },
  ];
}
