import { logGamma } from "../../numeric/index.js";

/** Verdicts of two groups at one setting. */
export interface Stratum {
  readonly a: { readonly passed: number; readonly judged: number };
  readonly b: { readonly passed: number; readonly judged: number };
}

/** Exact test of equal chances at equal settings. */
export interface PassTest {
  /** Two-sided: the chance of all outcomes no likelier than the one seen, were the chances the same at every setting. */
  readonly p: number;
  /** The least p that so many verdicts could have given: above 0.05 they cannot tell any difference. */
  readonly least: number;
  /** Verdicts at settings judged in both groups, which alone count. */
  readonly judged: readonly [a: number, b: number];
}

/**
 * Fisher's exact test, over several settings: given how many coupons of a setting passed in all, those of the second group
 * follow a hypergeometric law; their sum over the settings is tested.
 *
 * @returns undefined where no setting was judged in both groups
 * @source the exact conditional test of R's mantelhaen.test(exact = TRUE), of one setting that of fisher.test
 */
export function comparePassRates(strata: readonly Stratum[]): PassTest | undefined {
  const shared = strata.filter(({ a, b }) => a.judged > 0 && b.judged > 0);
  if (shared.length === 0) return undefined;
  let law: readonly number[] = [1];
  let seen = 0;
  for (const { a, b } of shared) {
    const passed = a.passed + b.passed;
    const least = Math.max(0, passed - a.judged);
    const most = Math.min(b.judged, passed);
    seen += b.passed - least;
    const own = Array.from({ length: most - least + 1 }, (_, k) =>
      Math.exp(
        logChoose(b.judged, least + k) +
          logChoose(a.judged, passed - least - k) -
          logChoose(a.judged + b.judged, passed),
      ),
    );
    law = convolved(law, own);
  }
  // Outcomes as likely as the one seen may differ by rounding.
  const noLikelier = (chance: number): number =>
    Math.min(
      1,
      law.reduce((sum, other) => sum + (other <= chance * (1 + 1e-7) ? other : 0), 0),
    );
  const judged = (side: "a" | "b"): number => shared.reduce((sum, one) => sum + one[side].judged, 0);
  return {
    p: noLikelier(law[seen]!),
    least: noLikelier(Math.min(...law)),
    judged: [judged("a"), judged("b")],
  };
}

const logChoose = (n: number, k: number): number => logGamma(n + 1) - logGamma(k + 1) - logGamma(n - k + 1);

function convolved(one: readonly number[], other: readonly number[]): readonly number[] {
  const out = new Array<number>(one.length + other.length - 1).fill(0);
  one.forEach((p, i) => {
    other.forEach((q, j) => {
      out[i + j]! += p * q;
    });
  });
  return out;
}
