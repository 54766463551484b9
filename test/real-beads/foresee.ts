import {
  type FormName,
  fitStudy,
  formTitle,
  predictBead,
  type predictForm,
  responseData,
} from "../../lib/models/index.js";
import { mean } from "../../lib/numeric/index.js";
import type { Coupon, StudyDefinition } from "../../lib/study/index.js";

/** What a forecaster said of a coupon that it had not seen, at 95 %. */
export interface Said {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** One forecaster's word on the left-out coupons; undefined where it had none. */
export interface Forecaster {
  readonly name: string;
  readonly said: readonly (Said | undefined)[];
}

/** The coupons of a response, and which go together. */
export interface LeftOutStudy {
  readonly response: string;
  readonly scale: "log" | "half-angle" | "linear";
  readonly measured: readonly number[];
  readonly settings: readonly Coupon["settings"][];
  readonly setting: readonly number[];
  readonly folds: readonly { readonly rows: readonly number[]; readonly without: readonly number[] }[];
  readonly forecasters: readonly Forecaster[];
}

/**
 * Leaves out each setting (and block) in turn and foresees it by fits that never saw it: forms, choice, weights and
 * intervals are all made again without it.
 */
export function foreseeLeftOut(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  response: string,
): LeftOutStudy {
  const data = responseData({ definition, coupons }, response);
  const only = { ...definition, responses: definition.responses.filter(({ kind }) => kind === "measured") };
  const said = new Map<string, (Said | undefined)[]>();
  const note = (name: string, row: number, word: Said): void => {
    if (!said.has(name))
      said.set(
        name,
        data.y.map(() => undefined),
      );
    said.get(name)![row] = word;
  };
  for (const { rows, without } of data.folds) {
    const gone = new Set(without.map((i) => data.coupons[i]!));
    const settings = rows.map((i) => data.settings[i]!);
    const fit = fitStudy({ definition: only, coupons: coupons.filter(({ id }) => !gone.has(id)) });
    const own = fit.responses.find((candidate) => candidate.response === response);
    if (own === undefined) continue;
    const word = (p: ReturnType<typeof predictForm>[number]): Said => ({
      estimate: p.estimate,
      lower: p.prediction.lower,
      upper: p.prediction.upper,
    });
    const column = fit.responses.indexOf(own);
    const say = (name: string, by: typeof fit): void => {
      predictBead({ definition: only }, by, settings).forEach((list, k) => {
        note(name, rows[k]!, word(list[column]!));
      });
    };
    const asked = (change: Partial<typeof own>): typeof fit => ({
      ...fit,
      responses: fit.responses.map((candidate) => (candidate === own ? { ...own, ...change } : candidate)),
    });
    say("the program's answer", fit);
    if (own.together !== undefined) say("all forms together", asked({ foreseenBy: "together" }));
    say("the chosen form", asked({ foreseenBy: "chosen" }));
    const names: readonly FormName[] = own.forms.map(({ form }) => form);
    for (const name of names) say(formTitle(name), asked({ foreseenBy: "chosen", chosen: name }));
  }
  return {
    response,
    scale: data.scale,
    measured: data.y,
    settings: data.settings,
    setting: settingNumbers(data.settings),
    folds: data.folds,
    forecasters: [...said].map(([name, list]) => ({ name, said: list })),
  };
}

function settingNumbers(settings: readonly Coupon["settings"][]): readonly number[] {
  const labels = settings.map((setting) => JSON.stringify(setting));
  return labels.map((label) => labels.indexOf(label));
}

/** How a forecaster did: root mean square error (of logarithms where positive), share inside, coupons it spoke of. */
export interface Score {
  readonly error: number;
  readonly held: number;
  /** Share inside where each setting counts once: repeats of one that is foreseen badly miss together. */
  readonly heldBySetting: number;
  readonly coupons: number;
}

export function scoreOf({ measured, scale, setting }: LeftOutStudy, { said }: Forecaster): Score {
  const errors: number[] = [];
  let held = 0;
  const bySetting = new Map<number, number[]>();
  said.forEach((word, i) => {
    if (word === undefined) return;
    const y = measured[i]!;
    const inside = Number(word.lower <= y && y <= word.upper);
    held += inside;
    bySetting.set(setting[i]!, [...(bySetting.get(setting[i]!) ?? []), inside]);
    if (scale === "linear") errors.push(y - word.estimate);
    // A positive size foreseen as 0 or less counts as off by a factor of ten.
    else errors.push(word.estimate > 0 ? Math.log(y / word.estimate) : Math.LN10);
  });
  return {
    error: Math.sqrt(mean(errors.map((e) => e * e))),
    held: held / errors.length,
    heldBySetting: mean([...bySetting.values()].map(mean)),
    coupons: errors.length,
  };
}
