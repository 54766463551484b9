import { readFixture } from "../support/fixture.js";

/** Certified results of one problem. */
export interface NistFigures {
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly rss: number;
}

/** One of the 27 nonlinear problems of NIST's Statistical Reference Datasets. */
export interface NistProblem {
  readonly name: string;
  readonly model: string;
  readonly variables: string[];
  readonly parameters: string[];
  readonly response: string;
  readonly x: number[][];
  readonly y: number[];
  readonly starts: number[][];
  readonly certified: NistFigures;
  readonly precise: NistFigures;
}

export const nistProblems: readonly NistProblem[] = readFixture<{ problems: NistProblem[] }>(
  import.meta.url,
  "fixtures/nist-nonlinear.json",
).problems;

/** What a problem fits: the response, or its logarithm where NIST says so. */
export const nistResponse = ({ response, y }: NistProblem): number[] =>
  response === "log(y)" ? y.map(Math.log) : y;
