import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plusFromState } from "pure-rand/generator/xoroshiro128plus";
import { requireThat } from "../../errors/index.js";
import { sha256 } from "./sha256.js";

/** A seeded stream of random numbers; the same seed gives the same numbers on any machine. */
export interface RandomStream {
  /** The seed it was made from: `randomStream(stream.seed)` begins the same stream again. */
  readonly seed: number;
  /** Uniform on [0, 1). */
  uniform(): number;
  /** Standard normal (Box and Muller 1958). */
  normal(): number;
  /** Uniform integer, both ends included. */
  integer(from: number, to: number): number;
  /** A new array in random order (Fisher-Yates); the input stays as it is. */
  shuffle<T>(items: readonly T[]): T[];
  /** An independent stream named by a word or number; does not advance this one. */
  split(name: string | number): RandomStream;
}

/**
 * SHA-256 of a seed and names. A hash, because a generator seeded with small or neighbouring numbers as they are
 * begins with numbers that are all alike; pure-rand's own `xoroshiro128plus(seed)` does.
 */
const digest = (...path: readonly (string | number)[]): DataView => sha256(JSON.stringify(path));

/** A whole number of 48 bits, the most that a seed holds, from the head of a digest. */
const seedOf = (view: DataView): number => view.getUint32(0, true) + 2 ** 32 * view.getUint16(4, true);

/**
 * Makes a random stream: xoroshiro128+ (Blackman and Vigna 2018) whose state is a hash of the seed.
 *
 * @param seed - any integer from -(2^53 - 1) to 2^53 - 1
 * @throws {BeadbenchError} `bad-argument` unless the seed is such an integer
 */
export function randomStream(seed: number): RandomStream {
  requireThat(
    Number.isSafeInteger(seed),
    `seed must be an integer from ${Number.MIN_SAFE_INTEGER} to ${Number.MAX_SAFE_INTEGER}, got ${seed}`,
  );
  const state = digest(seed);
  const generator = xoroshiro128plusFromState([0, 4, 8, 12].map((at) => state.getInt32(at, true)));
  let spare: number | undefined;
  const uniform = (): number => uniformFloat64(generator);
  const integer = (from: number, to: number): number => {
    requireThat(
      Number.isSafeInteger(from) && Number.isSafeInteger(to) && from <= to,
      `integer needs two integers in rising order, got ${from} and ${to}`,
    );
    return uniformInt(generator, from, to);
  };
  return {
    seed,
    uniform,
    normal() {
      if (spare !== undefined) {
        const value = spare;
        spare = undefined;
        return value;
      }
      const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
      const angle = 2 * Math.PI * uniform();
      spare = radius * Math.sin(angle);
      return radius * Math.cos(angle);
    },
    integer,
    shuffle(items) {
      const copy = [...items];
      for (let i = copy.length - 1; i > 0; i--) {
        const j = integer(0, i);
        [copy[i], copy[j]] = [copy[j]!, copy[i]!];
      }
      return copy;
    },
    split: (name) => randomStream(seedOf(digest(seed, name))),
  };
}
