/** A number with its interval. */
export interface Estimate {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}
