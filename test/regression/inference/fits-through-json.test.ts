import { expect, test } from "vitest";
import {
  fitBlended,
  fitLinear,
  fitLogistic,
  fitNonlinear,
  fitOrdinal,
  fitRandomBlock,
  fitRobust,
  formulaModel,
  linearModel,
  parameterIntervals,
  predict,
  predictBlended,
  predictLogistic,
  predictOrdinal,
  predictRandomBlock,
  requireConverged,
} from "../../../lib/regression/index.js";

const through = <T>(fit: T): T => JSON.parse(JSON.stringify(fit)) as T;
const x = [1, 2, 3, 4, 5, 6, 7, 8].map((t) => [1, t]);
const names = ["one", "t"];

test("a fit that went through JSON predicts the same", () => {
  const y = [2.1, 3.9, 6.2, 7.7, 10.4, 11.8, 14.1, 16.3];
  const line = fitLinear({ x, y }, { names });
  const straight = linearModel(names);
  expect(predict({ fit: through(line), model: straight, x: [[1, 3.3]] })).toEqual(
    predict({ fit: line, model: straight, x: [[1, 3.3]] }),
  );

  const power = formulaModel("a * t^b", { variables: ["t"] });
  const rows = x.map(([, t]) => [t!]);
  const fit = requireConverged(fitNonlinear({ x: rows, y }, power, { start: [1, 1] }));
  expect(parameterIntervals(through(fit), power)).toEqual(parameterIntervals(fit, power));
  expect(predict({ fit: through(fit), model: power, x: [[30]] })).toEqual(
    predict({ fit, model: power, x: [[30]] }),
  );

  const prior = { mean: [0, 0], sd: [Number.POSITIVE_INFINITY, 2] };
  const chance = fitLogistic({ x, passes: [0, 0, 1, 0, 1, 1, 1, 1] }, { names, prior });
  expect(predictLogistic(through(chance), [[1, 4.5]])).toEqual(predictLogistic(chance, [[1, 4.5]]));

  const grade = ["a", "a", "b", "a", "b", "c", "b", "c"];
  const graded = fitOrdinal(
    { x: rows, grade },
    { names: ["t"], grades: ["a", "b", "c"], prior: { mean: [0], sd: [Number.POSITIVE_INFINITY] } },
  );
  expect(predictOrdinal(through(graded), [[4.5]])).toEqual(predictOrdinal(graded, [[4.5]]));
});

test("fits with blocks, slips and blended surfaces do so too", () => {
  const y = [2.1, 3.9, 6.2, 7.7, 10.4, 11.8, 19, 16.3];
  const block = ["mon", "mon", "tue", "tue", "wed", "wed", "thu", "thu"];
  const shifted = fitRandomBlock({ x, y, block }, { names });
  expect(predictRandomBlock(through(shifted), [[1, 4.5]])).toEqual(predictRandomBlock(shifted, [[1, 4.5]]));

  const straight = linearModel(names);
  const robust = fitRobust({
    observations: { x, y },
    model: straight,
    leastSquares: (rows) => fitLinear(rows, { names }),
  });
  expect(through(robust)).toEqual(robust);

  const coded = x.map(([, t]) => [(t! - 4.5) / 3.5]);
  const bent = coded.map(([t]) => [t! * t!]);
  const blended = fitBlended(
    { y, straight: coded, bent, setting: block.map((_, i) => `s${i}`), block },
    { draws: 16 },
  );
  const points = [{ straight: [0.1], bent: [0.01] }];
  expect(predictBlended(through(blended), points)).toEqual(predictBlended(blended, points));
});
