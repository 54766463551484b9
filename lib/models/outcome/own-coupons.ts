import type { Finding } from "../../errors/index.js";
import { brief, counted, inWords } from "../../numeric/index.js";
import type { StudyData } from "../../study/index.js";
import { type PriorName, type PriorValues, resolvePriors } from "../priors/index.js";
import { buildOutcomeModel } from "./build-outcome-model.js";
import { type Surprise, surprisesOf } from "./surprise.js";
import { SUSPECT } from "./suspects.js";

/** How far the physics is believed once a study's coupons were seen. */
export interface Believed {
  /** Numbers in the place of usual priors: none while the physics fits. */
  readonly priors: PriorValues;
  /** How many times larger the doubts about the physics were made; 1 while it fits. */
  readonly widened: number;
  readonly findings: readonly Finding[];
}

/** Chance below which what came out counts as a misfit of the physics, and from which widened doubts are wide enough. */
const MISFIT: Readonly<Record<Surprise["kind"], number>> = { law: 0.005, limit: 0.003 };
const PLAUSIBLE = 0.05;
const WIDER = [2, 4, 8] as const;

/** Doubts about laws of sizes, and about limits beyond which coupons fail. */
const doubts: Readonly<Record<Surprise["kind"], RegExp>> = {
  law: /^(width|fullness|bead_fullness|wall_fullness|lone_height|metal_kept|penetration)\w*_sd$/,
  limit: /^(margin|wire_share|slenderness)\w*_sd$/,
};

/**
 * Asks whether what the coupons showed was very unlikely by the physics assumed. Where it was, the doubts about that physics
 * are made as many times larger as it takes until it no longer was, so that the study rests on its own coupons.
 *
 * @throws {BeadbenchError} `bad-study` for priors of study.json that cannot be used
 */
export function believedPriors(data: StudyData): Believed {
  const fitting: Believed = { priors: {}, widened: 1, findings: [] };
  if (misfitsOf(data).length === 0) return fitting;
  // Slips and wrong verdicts are unlikely by any physics.
  const sound = withoutSuspects(data);
  const misfits = misfitsOf(sound);
  if (misfits.length === 0) return fitting;
  const kinds = new Set(misfits.map(({ kind }) => kind));
  const { values } = resolvePriors(data);
  const wider = (factor: number): PriorValues =>
    Object.fromEntries(
      (Object.keys(values) as PriorName[])
        .filter((name) => [...kinds].some((kind) => doubts[kind].test(name)))
        .map((name) => [name, factor * values[name]]),
    );
  const enough = WIDER.find((factor) =>
    surprisesOf(sound, wider(factor)).every(({ kind, chance }) => !kinds.has(kind) || chance >= PLAUSIBLE),
  );
  const widened = enough ?? WIDER[WIDER.length - 1]!;
  return { priors: wider(widened), widened, findings: [misfitFinding(misfits, widened)] };
}

const misfitsOf = (data: StudyData): readonly Surprise[] =>
  surprisesOf(data).filter(({ kind, chance }) => chance < MISFIT[kind]);

/** The coupons that the others do not make suspect. */
function withoutSuspects({ definition, coupons }: StudyData): StudyData {
  const named = new Set(
    buildOutcomeModel({ definition, coupons }).suspects.flatMap(({ coupon, chance }) =>
      chance >= SUSPECT ? [coupon] : [],
    ),
  );
  return { definition, coupons: coupons.filter(({ id }) => !named.has(id)) };
}

function misfitFinding(misfits: readonly Surprise[], widened: number): Finding {
  const named = misfits.map(
    ({ about, kind, chance, coupons }) =>
      `${inWords(about)} (${counted(coupons, "coupon")}; ${kind === "law" ? "its size and what settings do to it" : "where it passes and fails"}: ${chanceText(chance)})`,
  );
  return {
    code: "physics-misfit",
    severity: "warning",
    message: `the physics assumed does not fit this rig: what came out was very unlikely by it, ${named.join(", ")}. It is doubted ${brief(widened)} times as much from here on, so that chances rest on your own coupons`,
    advice:
      "check units, wire diameter, process and the settings under rig in study.json first; if they are right, expect to need more coupons than usual",
    about: misfits.map(({ about }) => about),
  };
}

const chanceText = (chance: number): string =>
  chance < 1e-4 ? "less than 1 chance in 10 000" : `about 1 chance in ${brief(1 / chance, 1)}`;
