import { describe, expect, test } from "vitest";
import { studyCoordinates, toCoordinates } from "../../../lib/models/outcome/coordinates.js";
import { chooseBasis, makeBasis } from "../../../lib/models/outcome/departure-basis.js";
import { latentModel } from "../../../lib/models/outcome/latent.js";
import { fitLatent } from "../../../lib/models/outcome/latent-fit.js";
import { latentValue } from "../../../lib/models/outcome/latent-value.js";
import { physicalLogs } from "../../../lib/models/outcome/physical-logs.js";
import { usualPriors } from "../../../lib/models/priors/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const coordinates = studyCoordinates(definition);
const study = { definition, coordinates, priors: usualPriors };
const logs = physicalLogs({ ...study, coupons: [] })!;
const latent = latentModel({ ...study, logs, values: new Map() });

describe("physicalLogs", () => {
  test("gives arc energy, section and wire share of the running example", () => {
    // 150 A, 3 mm/s, 20 mm/s of 1.2 mm wire, at the 12 V taken for TIG: U I / v = 600 J/mm and A_w f / v =
    // 7.53982 mm2 times the 0.99 of wire that stays; both by hand.
    const point = toCoordinates(coordinates, { current: 150, travel_speed: 180, wire_feed_speed: 1.2 });
    const at = ({ constant, slopes }: typeof logs.energy): number =>
      Math.exp(slopes.reduce((sum, slope, j) => sum + slope * point[j]!, constant));
    expectDigits(at(logs.energy), 600, 10, "arc energy");
    expectDigits(at(logs.area), 7.53982236862 * 0.99, 10, "section");
    const { efficiency, wireEnthalpy } = logs.physics;
    expectDigits(
      at(logs.share),
      (1.13097335529 * 20 * wireEnthalpy.value) / (efficiency.value * 12 * 150),
      10,
      "share",
    );
  });
});

describe("latentModel", () => {
  test("height follows from width and fullness by conservation of mass", () => {
    // A parabola 6 mm wide over 7.539822 * 0.99 mm2 is 1.5 A / w high.
    const settings = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };
    const point = toCoordinates(coordinates, settings);
    const measured = new Map([
      ["bead_width", 6],
      ["bead_height", (1.5 * 7.53982236862 * 0.99) / 6],
    ]);
    const [width, height] = latent.links;
    expectDigits(latentValue(latent, width!, { measured, point })!, Math.log(6), 10, "ln width");
    expectDigits(latentValue(latent, height!, { measured, point })!, Math.log(2 / 3), 9, "ln fullness");
  });
});

describe("fitLatent", { timeout: 30_000 }, () => {
  const prior = latent.priors[0]!;
  const stream = randomStream(7);
  const points = Array.from({ length: 12 }, () =>
    Float64Array.from(coordinates, ({ half }) => half * (2 * stream.uniform() - 1)),
  );
  const basis = makeBasis(chooseBasis(coordinates, points, usualPriors));
  const rows = points.map((point) => {
    const row = new Float64Array(basis.size);
    basis.evaluate(point, row);
    return row;
  });

  test("without coupons gives the prior back", () => {
    const found = fitLatent({
      prior,
      data: { rows: [], values: [], blocks: [], places: [], trust: [] },
      size: basis.size,
    });
    expect(found.weights.slice(0, 4)).toEqual([prior.mean.constant, ...prior.mean.slopes]);
    expectDigits(found.root[0]!, prior.constantSd, 9, "constant");
    expectDigits(found.root[basis.size + 1]!, prior.slopeSds[0]!, 9, "slope");
  });

  test("its doubt is right: errors over standard deviations have variance 1 when truths come from the prior", () => {
    // 400 simulated studies of 12 coupons on 3 days; the standard error of the mean square is 0.07.
    const at = new Float64Array(basis.size);
    basis.evaluate(Float64Array.of(0.1, -0.2, 0.15), at);
    let square = 0;
    const studies = 400;
    for (let s = 0; s < studies; s++) {
      const own = stream.split(s);
      const spread = (median: number, sd: number): number => median * Math.exp(sd * own.normal());
      const scatter = spread(prior.scatter.median, 0.35);
      const departure = spread(prior.departure.median, 0.6);
      const day = spread(0.2 * prior.scatter.median, 0.6);
      const weights = Array.from({ length: basis.size }, (_, a) => {
        if (a === 0) return prior.mean.constant + prior.constantSd * own.normal();
        return a <= 3
          ? prior.mean.slopes[a - 1]! + prior.slopeSds[a - 1]! * own.normal()
          : departure * own.normal();
      });
      const truth = (row: Float64Array): number => row.reduce((sum, f, a) => sum + f * weights[a]!, 0);
      const shifts = [0, 1, 2].map(() => day * own.normal());
      const blocks = rows.map((_, i) => i % 3);
      const values = rows.map((row, i) => truth(row) + shifts[blocks[i]!]! + scatter * own.normal());
      const data = { rows, values, blocks, places: rows.map(() => 0), trust: rows.map(() => 1) };
      const found = fitLatent({ prior, data, size: basis.size });
      const mean = at.reduce((sum, f, a) => sum + f * found.weights[a]!, 0);
      let variance = 0;
      for (let b = 0; b < basis.size; b++) {
        let sum = 0;
        for (let a = b; a < basis.size; a++) sum += found.root[a * basis.size + b]! * at[a]!;
        variance += sum * sum;
      }
      square += (truth(at) - mean) ** 2 / variance / studies;
    }
    expect(Math.abs(square - 1)).toBeLessThan(0.3);
  });
});
