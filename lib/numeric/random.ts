import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { requireNumber } from "../errors/index.js";

/** A seeded stream of random numbers; the same seed gives the same numbers on any machine. */
export interface RandomStream {
  /** The seed it was made from. */
  readonly seed: number;
  /** Uniform on [0, 1). */
  uniform(): number;
  /** Standard normal (polar method of Marsaglia). */
  normal(): number;
  /** Uniform integer, both ends included. */
  integer(from: number, to: number): number;
  /** A new array in random order (Fisher-Yates); the input stays as it is. */
  shuffle<T>(items: readonly T[]): T[];
  /** An independent stream named by a word or number; does not advance this one. */
  split(name: string | number): RandomStream;
}

/** FNV-1a over the seed and the name, so that sub-streams do not depend on how much was drawn before. */
function deriveSeed(seed: number, name: string | number): number {
  let hash = 0x811c9dc5;
  for (const char of `${seed}/${name}`) {
    hash ^= char.codePointAt(0)!;
    hash = Math.imul(hash, 0x01000193);
  }
  return hash | 0;
}

/**
 * Makes a random stream (xoroshiro128+).
 *
 * @param seed - any integer; reduced to 32 bits
 * @throws {BeadbenchError} `bad-argument` unless the seed is an integer
 */
export function randomStream(seed: number): RandomStream {
  requireNumber("seed", seed);
  const generator = xoroshiro128plus(seed | 0);
  let spare: number | undefined;
  const uniform = (): number => uniformFloat64(generator);
  return {
    seed,
    uniform,
    normal() {
      if (spare !== undefined) {
        const value = spare;
        spare = undefined;
        return value;
      }
      for (;;) {
        const u = 2 * uniform() - 1;
        const v = 2 * uniform() - 1;
        const s = u * u + v * v;
        if (s > 0 && s < 1) {
          const factor = Math.sqrt((-2 * Math.log(s)) / s);
          spare = v * factor;
          return u * factor;
        }
      }
    },
    integer: (from, to) => uniformInt(generator, from, to),
    shuffle(items) {
      const copy = [...items];
      for (let i = copy.length - 1; i > 0; i--) {
        const j = uniformInt(generator, 0, i);
        [copy[i], copy[j]] = [copy[j]!, copy[i]!];
      }
      return copy;
    },
    split: (name) => randomStream(deriveSeed(seed, name)),
  };
}
