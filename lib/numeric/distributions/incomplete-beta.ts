import { deviance, solveTail, stirlingRest, tailIntegral } from "./tails.js";

/** From this smaller shape on the tail is integrated: the continued fraction takes ever more terms, about its root. */
const LARGE = 3000;
const MOST_TERMS = 2000;
/** ln x below which a tail is a pure power to the last digit, and x itself leaves the range of numbers. */
const POWER_BELOW = -650;

/** A share and what is left of 1, apart, so that neither end loses digits. */
interface Share {
  readonly x: number;
  /** 1 - x. */
  readonly y: number;
}

/** One tail of a beta distribution, in logarithms; the other is its complement. */
interface BetaTail {
  readonly side: "lower" | "upper";
  readonly log: number;
  /** Density over ln(x / (1 - x)): x^a (1 - x)^b / B(a, b). */
  readonly logDensity: number;
}

/**
 * The tail of the regularised incomplete beta function that lies away from the mean, so that no digits cancel:
 * continued fraction for a moderate smaller shape, quadrature for a large one, the density by Loader's deviances.
 * Relative error 1e-13, and about 1e-16 times the root of the smaller shape beyond 1e6, which is what the rounding of x
 * itself makes.
 *
 * @source Didonato and Morris (1992), the fraction; Loader (2000), the density
 */
function betaTail({ x, y }: Share, a: number, b: number): BetaTail {
  const n = a + b;
  const gap = a * y - b * x;
  const logDensity =
    0.5 * Math.log((a * (b / n)) / (2 * Math.PI)) +
    (stirlingRest(n) - stirlingRest(a) - stirlingRest(b)) -
    deviance(a, n * x, gap) -
    deviance(b, n * y, -gap);
  const isLower = Math.min(a, b) < LARGE ? gap + 1 > 2 * x : gap >= 0;
  const [p, q, near, far] = isLower ? [x, y, a, b] : [y, x, b, a];
  const rest =
    Math.min(a, b) < LARGE
      ? betaFraction({ x: p, y: q, a: near, b: far, gap: isLower ? gap : -gap })
      : tailIntegral(
          // The same sum by the smaller of x and 1 - x, whose shape leaves the smaller terms to cancel.
          p < 0.5
            ? (u) => -near * u - n * Math.log1p(p * Math.expm1(-u))
            : (u) => far * u - n * Math.log1p(q * Math.expm1(u)),
          Math.abs(gap),
          n * p * q,
        );
  return { side: isLower ? "lower" : "upper", log: Math.min(0, logDensity + Math.log(rest)), logDensity };
}

/**
 * Lentz's evaluation of the continued fraction that keeps its digits where x is next to 1.
 *
 * @param gap - a (1 - x) - b x, above -1
 * @source Didonato and Morris, ACM TOMS 18 (1992) 360, equation 9
 */
function betaFraction({ x, y, a, b, gap }: Readonly<Record<"x" | "y" | "a" | "b" | "gap", number>>): number {
  let c = Number.POSITIVE_INFINITY;
  let d = (a + 1) / ((1 + gap) * a);
  let h = d;
  for (let n = 1; n <= MOST_TERMS; n++) {
    const s = a + 2 * n;
    const w = n * (b - n) * x;
    const beta = n + w / (s - 1) + ((a + n) / (s + 1)) * (gap + 1 + n * (1 + y));
    const alpha = ((a + n - 1) / (s - 1)) * ((a + b + n - 1) / (s - 1)) * (w * x);
    d = 1 / (beta + alpha * d);
    c = beta + alpha / c;
    h *= c * d;
    if (Math.abs(c * d - 1) < 1e-16) break;
  }
  return h;
}

const logLower = ({ side, log }: BetaTail): number => (side === "lower" ? log : Math.log1p(-Math.exp(log)));

/** I_x(a, b) for shapes above 0. */
export function incompleteBeta(share: Share, a: number, b: number): number {
  if (!(share.x > 0)) return Number.isNaN(share.x) ? share.x : 0;
  if (!(share.y > 0)) return 1;
  const { side, log } = betaTail(share, a, b);
  return side === "lower" ? Math.exp(log) : -Math.expm1(log);
}

/** ln(x / (1 - x)) with I_x(a, b) = p, for p above 0 and below 1. */
export function incompleteBetaLogit(p: number, a: number, b: number): number {
  if (p > 0.5) return -lowerLogit(Math.log1p(-p), b, a);
  return lowerLogit(Math.log(p), a, b);
}

function lowerLogit(logShare: number, a: number, b: number): number {
  return solveTail({
    start: Math.log(a / b),
    logShare,
    tail: (w) => {
      const at = Math.min(-POWER_BELOW, Math.max(POWER_BELOW, w));
      const found = betaTail({ x: 1 / (1 + Math.exp(-at)), y: 1 / (1 + Math.exp(at)) }, a, b);
      const beyond = a * Math.min(0, w - at);
      return { logTail: logLower(found) + beyond, logDensity: found.logDensity + beyond };
    },
  });
}
