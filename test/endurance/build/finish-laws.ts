import type { RandomStream } from "../../../lib/numeric/index.js";

/** An invented rig: where its next build ends, beyond 1 when finished, and the true chance that it is. */
export interface LossyRig {
  /** Draws build `i`, from 0: the share of its work at which it is lost. */
  readonly end: (i: number) => number;
  readonly chance: (i: number) => number;
  /** Hazard of build `i` beside that of the first; its stops thin out as much. */
  readonly hazard: (i: number) => number;
  /** Builds up to build `i` that began on changed equipment. */
  readonly changes?: (i: number) => number;
  /** What the shop does about a build that ended. */
  readonly after?: (lost: boolean) => void;
}

/** A law of how builds are lost: a rig for a number of losses, which grows with how risky the rig is. */
export type LossLaw = (random: RandomStream, losses: number) => LossyRig;

const wait = (random: RandomStream): number => -Math.log(1 - random.uniform());

const steady = (chance: number, end: () => number): LossyRig => ({
  end,
  chance: () => chance,
  hazard: () => 1,
});

const weibull =
  (shape: number): LossLaw =>
  (random, losses) =>
    steady(Math.exp(-losses), () => (wait(random) / losses) ** (1 / shape));

const falling =
  (hazard: (i: number) => number): LossLaw =>
  (random, losses) => ({
    end: (i) => wait(random) / (losses * hazard(i)),
    chance: (i) => Math.exp(-losses * hazard(i)),
    hazard,
  });

/** Five causes of unequal rates; after it ended a build, a cause is mended for good in three cases of five. */
const mended =
  (logged: boolean): LossLaw =>
  (random, losses) => {
    const drawn = [1, 0.6, 0.4, 0.25, 0.15].map((rate) => rate * Math.exp(0.5 * random.normal()));
    const all = drawn.reduce((a, b) => a + b);
    const rates = drawn.map((rate) => (rate * losses) / all);
    const sum = (): number => rates.reduce((a, b) => a + b);
    let hit = 0;
    let changes = 0;
    return {
      end: () => {
        const ends = rates.map((rate) => (rate > 0 ? wait(random) / rate : Number.POSITIVE_INFINITY));
        hit = ends.indexOf(Math.min(...ends));
        return ends[hit]!;
      },
      chance: () => Math.exp(-sum()),
      hazard: () => sum() / losses,
      after: (lost) => {
        if (!lost || random.uniform() >= 0.6) return;
        rates[hit] = 0;
        changes++;
      },
      ...(logged ? { changes: () => changes } : {}),
    };
  };

/** Laws that beliefs were set on. */
export const lossLaws: Readonly<Record<string, LossLaw>> = {
  "constant hazard": weibull(1),
  "wear to the third power": weibull(3),
  "bad beginnings": weibull(0.5),
  "bad days and good days": (random, losses) =>
    steady(0.3 * Math.exp(-3 * losses) + 0.7 * Math.exp(-0.15 * losses), () => {
      const day = random.uniform() < 0.3 ? 3 : 0.15;
      return wait(random) / (losses * day);
    }),
  "a mistake at one of six changes": (random, losses) =>
    steady(Math.exp(-losses), () => {
      for (let change = 1; change <= 6; change++)
        if (random.uniform() < -Math.expm1(-losses / 6)) return change / 6.5;
      return 2;
    }),
  "lost at once": (random, losses) =>
    steady(Math.exp(-losses), () =>
      random.uniform() < Math.exp(-losses) ? 2 : 0.02 + 0.1 * random.uniform(),
    ),
};

/** Laws that beliefs were set on under which rigs do not stay as they are. */
export const movingLaws: Readonly<Record<string, LossLaw>> = {
  "learning by a third a build": falling((i) => 0.65 ** i),
  "causes mended, nothing logged": mended(false),
  "causes mended, changes logged": mended(true),
  "getting worse by a fifth": falling((i) => 1.2 ** i),
};

/** Share of builds finished by a rig, from many drawn. */
function counted(end: () => number): number {
  let finished = 0;
  for (let build = 0; build < 1000; build++) if (end() >= 1) finished++;
  return finished / 1000;
}

/** Laws that no belief was set on. */
export const heldOutLossLaws: Readonly<Record<string, LossLaw>> = {
  bathtub: (random, losses) =>
    steady(Math.exp(-losses), () =>
      Math.min(
        (wait(random) / (0.3 * losses)) ** 2,
        wait(random) / (0.3 * losses),
        (wait(random) / (0.4 * losses)) ** 0.25,
      ),
    ),
  "clustered shocks": (random, losses) => {
    // Bad spells, each with two strokes close together, either of which may end the build.
    const fatal = -Math.expm1(-losses / 2);
    const end = (): number => {
      for (let at = wait(random) / 1.5; at < 1; at += wait(random) / 1.5)
        for (const stroke of [at, at + 0.03 * random.uniform()])
          if (stroke < 1 && random.uniform() < fatal) return stroke;
      return 2;
    };
    return steady(counted(end), end);
  },
  "wear of a part replaced at random": (random, losses) => {
    const end = (): number => {
      let left = wait(random) / (6 * losses);
      let at = 0;
      for (let age = 0.5 * random.uniform(); at < 1; age = 0) {
        const worn = Math.cbrt(left + age ** 3) - age;
        const replaced = 0.4 * wait(random);
        if (worn < replaced) return at + worn;
        left -= (age + replaced) ** 3 - age ** 3;
        at += replaced;
      }
      return 2;
    };
    return steady(counted(end), end);
  },
  "one step for the better, logged": (random, losses) => {
    const at = 1 + random.integer(0, 3);
    const hazard = (i: number): number => (i >= at ? 0.3 : 1);
    return { ...falling(hazard)(random, losses), changes: (i) => (i >= at ? 1 : 0) };
  },
  "one step for the better, unlogged": (random, losses) => {
    const at = 1 + random.integer(0, 3);
    return falling((i) => (i >= at ? 0.3 : 1))(random, losses);
  },
};
