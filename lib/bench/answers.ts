import { openStudy } from "../study/record/index.js";
import { benchDay } from "./day.js";
import { makeForesight } from "./foresight.js";
import { lessonOf } from "./lesson.js";
import { benchStanding } from "./standing.js";
import type { BenchDay, BenchLesson, BenchStanding } from "./wire/index.js";

/** What a page may ask about a study, each with its answer. */
export interface Answer {
  readonly day: BenchDay;
  readonly standing: BenchStanding;
  readonly lesson: BenchLesson;
}

/** A question of a page. */
export type Question =
  | { readonly about: "day"; readonly now: Date }
  | { readonly about: "standing" }
  | { readonly about: "lesson"; readonly coupon: string };

/**
 * Answers questions about the study as it stands when they are asked.
 *
 * @throws {BeadbenchError} as the answer asked for does
 */
export type Answers = <Q extends Question>(question: Q) => Promise<Answer[Q["about"]]>;

/** Answers at once, in the thread of whoever asks. */
export function answersHere(folder: string): Answers {
  const foresight = makeForesight();
  return async <Q extends Question>(question: Q) => {
    const study = openStudy(folder);
    const answer = (): Answer[Question["about"]] => {
      switch (question.about) {
        case "day":
          return benchDay(study, foresight, question.now);
        case "standing":
          return benchStanding(study, foresight);
        case "lesson":
          return lessonOf(study, question.coupon, foresight);
      }
    };
    return answer() as Answer[Q["about"]];
  };
}
