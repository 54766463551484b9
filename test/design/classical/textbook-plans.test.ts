import { describe, expect, test } from "vitest";
import {
  boxBehnken,
  centralComposite,
  conferenceMatrix,
  definitiveScreening,
  describeAliases,
  fractionalFactorial,
  minimumAberration,
  type PlackettBurmanRuns,
  plackettBurman,
  twoLevelFactorial,
} from "../../../lib/design/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { crossProducts, determinant, secondOrder } from "../coded.js";

const scaledIdentity = (size: number, value: number): number[][] =>
  Array.from({ length: size }, (_, i) => Array.from({ length: size }, (_, j) => (i === j ? value : 0)));

describe("twoLevelFactorial", () => {
  test.each([1, 2, 3, 5])("of %i factors is balanced and orthogonal", (k) => {
    const rows = twoLevelFactorial(k).map((row) => [1, ...row]);
    expect(crossProducts(rows)).toEqual(scaledIdentity(k + 1, 2 ** k));
    expect(new Set(rows.map(String)).size).toBe(2 ** k);
  });
});

// Generators and resolutions: Box, Hunter and Hunter (1978), table 12.15, and NIST/SEMATECH e-Handbook
// 5.3.3.4.7; the fixture's generators are recalled from memory, word lengths recomputed outside this library.
const published = readFixture<{
  designs: {
    k: number;
    p: number;
    generators: string[];
    publishedResolution: number;
    wordLengths: Record<string, number>;
    definingRelation: string[];
  }[];
}>(import.meta.url, "../fixtures/fractional-factorials.json").designs;

describe("fractionalFactorial", () => {
  test.each(published)("2^($k-$p) with published generators has its published resolution", (design) => {
    const fraction = fractionalFactorial(design.k, design.generators);
    expect(fraction.resolution).toBe(design.publishedResolution);
    expect(fraction.definingRelation).toEqual(design.definingRelation);
    expect(fraction.rows.length).toBe(2 ** (design.k - design.p));
    for (const word of fraction.definingRelation) {
      const columns = [...word].map((letter) => "ABCDEFGHJ".indexOf(letter));
      for (const row of fraction.rows) expect(columns.reduce((sign, j) => sign * row[j]!, 1)).toBe(1);
    }
  });

  test("refuses a generator out of turn", () => {
    expect(() => fractionalFactorial(5, ["D=ABCD"])).toThrow("generator 1 must read E=");
  });
});

describe("minimumAberration", () => {
  test.each(published)(
    "2^($k-$p) has the word lengths of the published fraction",
    ({ k, p, wordLengths }) => {
      const { wordLengths: found } = minimumAberration(k, p);
      const lengths = Object.fromEntries(
        found.flatMap((count, length) => (count > 0 ? [[length, count]] : [])),
      );
      expect(lengths).toEqual(wordLengths);
    },
  );

  test("refuses more factors than a resolution III fraction holds", () => {
    expect(() => minimumAberration(8, 5)).toThrow("resolution III");
  });
});

test("describeAliases says which effects of a 2^(4-1) fraction hang together", () => {
  expect(describeAliases(["amps", "volts", "speed", "gap"], ["ABCD"])).toEqual([
    "amps x volts cannot be told apart from speed x gap",
    "amps x speed cannot be told apart from volts x gap",
    "amps x gap cannot be told apart from volts x speed",
  ]);
  expect(describeAliases(["a", "b", "c", "d", "e"], ["ABCDE"])).toEqual([]);
});

describe("plackettBurman", () => {
  // Plackett and Burman (1946); NIST/SEMATECH e-Handbook 5.3.3.5. Rows recalled from memory, orthogonality is the test.
  const { designs } = readFixture<{ designs: { runs: number; generator: string }[] }>(
    import.meta.url,
    "../fixtures/plackett-burman.json",
  );
  test.each(designs)("$runs runs: published first row, orthogonal and balanced", ({ runs, generator }) => {
    const rows = plackettBurman(runs as PlackettBurmanRuns);
    expect(rows[0]!.map((x) => (x > 0 ? "+" : "-")).join("")).toBe(generator);
    expect(crossProducts(rows.map((row) => [1, ...row]))).toEqual(scaledIdentity(runs, runs));
  });
});

describe("centralComposite", () => {
  // Box and Hunter (1957); NIST/SEMATECH e-Handbook 5.3.3.6.1: alpha = F^(1/4), published to 3 decimals.
  const { rows } = readFixture<{
    rows: { factors: number; factorialPart: string; factorialPoints: number; publishedAlpha: number }[];
  }>(import.meta.url, "../fixtures/central-composite.json");
  test.each(rows)("$factors factors on $factorialPart: rotatable axial distance", (row) => {
    const full = row.factorialPoints === 2 ** row.factors;
    const { alpha } = centralComposite(row.factors, { axial: "rotatable", fraction: !full });
    expect(alpha.toFixed(3)).toBe(row.publishedAlpha.toFixed(3));
  });

  test.each([2, 3, 4, 5])("%i factors, rotatable: fourth moments satisfy sum x^4 = 3 sum x^2 y^2", (k) => {
    // Box and Hunter (1957): the condition of rotatability for a second-order plan.
    const coded = centralComposite(k, { axial: "rotatable" }).runs.map((run) => run.coded);
    const pure = coded.reduce((sum, x) => sum + x[0]! ** 4, 0);
    const mixed = coded.reduce((sum, x) => sum + x[0]! ** 2 * x[1]! ** 2, 0);
    expectDigits(pure, 3 * mixed, 12);
  });

  test.each([2, 3, 4, 5])(
    "%i factors, orthogonal blocks: the blocks are clear of all second-order terms",
    (k) => {
      // Box and Hunter (1957): equal mean of every model column in both blocks.
      const { runs } = centralComposite(k, { axial: "orthogonal-blocks" });
      const means = [1, 2].map((block) => {
        const members = runs.filter((run) => run.block === block).map((run) => secondOrder(run.coded));
        return members[0]!.map((_, c) => members.reduce((sum, row) => sum + row[c]!, 0) / members.length);
      });
      for (const [c, value] of means[0]!.entries()) {
        if (value === 0) expect(Math.abs(means[1]![c]!)).toBeLessThan(1e-12);
        else expectDigits(means[1]![c]!, value, 12, `column ${c}`);
      }
    },
  );
});

describe("boxBehnken", () => {
  // Box and Behnken (1960); NIST/SEMATECH e-Handbook 5.3.3.6.2. Run counts recalled from memory.
  const { designs } = readFixture<{
    designs: { factors: number; blocks: number[][]; publishedRuns: number; centrePoints: number }[];
  }>(import.meta.url, "../fixtures/box-behnken.json");
  test.each(designs)("$factors factors: published size, second-order model estimable", (design) => {
    const coded = boxBehnken(design.factors).map((run) => run.coded);
    expect(coded.length).toBe(design.publishedRuns);
    expect(coded.filter((x) => x.every((value) => value === 0)).length).toBe(design.centrePoints);
    expect(determinant(crossProducts(coded.map(secondOrder)))).toBeGreaterThan(1);
    for (const x of coded) expect([0, design.blocks[0]!.length]).toContain(x.filter((v) => v !== 0).length);
  });

  test.each(designs)("$factors factors: main effects orthogonal and balanced", ({ factors }) => {
    const coded = boxBehnken(factors).map((run) => run.coded);
    const product = crossProducts(coded.map((x) => [1, ...x]));
    for (const [i, row] of product.entries()) {
      for (const [j, value] of row.entries()) if (i !== j) expect(value).toBe(0);
    }
  });
});

describe("definitiveScreening", () => {
  test.each([4, 6, 8, 10, 12])("conferenceMatrix(%i): C'C = (m - 1) I, zero diagonal", (order) => {
    const matrix = conferenceMatrix(order);
    expect(crossProducts(matrix)).toEqual(scaledIdentity(order, order - 1));
    expect(matrix.map((row, i) => row[i])).toEqual(matrix.map(() => 0));
  });

  test.each([3, 4, 5, 6, 7, 8, 9, 10, 11, 12])("%i factors: Jones and Nachtsheim's properties hold", (k) => {
    // Jones and Nachtsheim (2011): 2m + 1 runs, main effects orthogonal to each other and to all
    // second-order terms.
    const coded = definitiveScreening(k).map((run) => run.coded);
    expect(coded.length).toBe(2 * (k + (k % 2)) + 1);
    const product = crossProducts(coded.map(secondOrder));
    for (let i = 1; i <= k; i++) {
      for (const [j, value] of product[i]!.entries()) if (i !== j) expect(Math.abs(value)).toBe(0);
    }
  });
});
