import { randomStream } from "../../lib/numeric/index.js";
import { fitLogistic, fitOrdinal, predictLogistic } from "../../lib/regression/index.js";
import { askPeer, type BenchRow, medianTime } from "./peer.js";

/** 200 coupons, intercept and three settings, about six in ten passing. */
function coupons(): { x: number[][]; passes: number[]; grade: string[] } {
  const stream = randomStream(20);
  const x = Array.from({ length: 200 }, () => [1, stream.normal(), stream.normal(), stream.normal()]);
  const logit = x.map(([, a, b, c]) => 0.5 + 0.8 * a! - 0.6 * b! + 0.3 * c!);
  const noise = logit.map(() => {
    const u = stream.uniform();
    return Math.log(u / (1 - u));
  });
  return {
    x,
    passes: logit.map((value, i) => (value + noise[i]! > 0 ? 1 : 0)),
    grade: logit.map(
      (value, i) => ["poor", "fair", "good"][Math.max(0, Math.min(2, Math.round(value + noise[i]!) + 1))]!,
    ),
  };
}

/** R's median milliseconds of an expression, calls batched so that its clock can see them. */
function timeInR(setup: string, expression: string, batch: number): number | undefined {
  return askPeer<number>(
    "Rscript",
    `${setup}
times <- sapply(1:15, function(i) system.time(for (k in 1:${batch}) ${expression})[["elapsed"]] / ${batch})
cat(median(times[-(1:3)]) * 1000)`,
  );
}

/** Times logistic and ordinal fits against R on the same 200 coupons. */
export async function bench(): Promise<BenchRow[]> {
  const { x, passes, grade } = coupons();
  const names = ["one", "a", "b", "c"];
  const setup = `x <- matrix(c(${x.flat().join(",")}), ncol = 4, byrow = TRUE)
y <- c(${passes.join(",")})
g <- factor(c(${grade.map((word) => `"${word}"`).join(",")}), levels = c("poor", "fair", "good"), ordered = TRUE)
d <- data.frame(x[, -1]); d$g <- g`;
  const row = (name: string, ours: number, peer: string, peerTime = Number.NaN, target = ""): BenchRow => ({
    name,
    ours_ms: ours,
    peer,
    peer_ms: peerTime,
    ratio: ours / peerTime,
    target,
  });
  const plain = { names, penalty: "none", intervals: "wald" } as const;
  const firth = fitLogistic({ x, passes }, { names, intervals: "wald" });
  return [
    row(
      "logistic, n = 200, 4 coefficients",
      medianTime(() => fitLogistic({ x, passes }, plain), 200, 50),
      "R glm.fit",
      timeInR(setup, "glm.fit(x, y, family = binomial())", 50),
      "ratio <= 1",
    ),
    row(
      "ordinal, n = 200, 3 grades",
      medianTime(
        () =>
          fitOrdinal(
            { x: x.map((r) => r.slice(1)), grade },
            { names: names.slice(1), grades: ["poor", "fair", "good"] },
          ),
        100,
        20,
      ),
      "R MASS::polr",
      timeInR(`library(MASS)\n${setup}`, "polr(g ~ ., data = d, Hess = TRUE)", 5),
      "ratio <= 1",
    ),
    row(
      "logistic with Firth's penalty, n = 200, Wald limits",
      medianTime(() => fitLogistic({ x, passes }, { names, intervals: "wald" }), 50),
      "none",
      undefined,
      "no peer installed",
    ),
    row(
      "the same with 4 profile intervals",
      medianTime(() => fitLogistic({ x, passes }, { names }), 20),
      "none",
      undefined,
      "no peer installed",
    ),
    row(
      "profile interval of one chance",
      medianTime(() => predictLogistic(firth, [[1, 1, 0, 0]])[0]!, 20),
      "none",
      undefined,
      "no peer installed",
    ),
  ];
}
