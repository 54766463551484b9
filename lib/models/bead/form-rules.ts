/** What is known of a form that is one regression. */
interface RegressionRules {
  /** Whether values and settings must have powers, or must have none, where one form stands in place of another. */
  readonly tried: "with powers" | "without powers" | "always";
  /** What its coefficients are: exponents of the settings, or changes over half a setting's range. */
  readonly effects: "exponents" | "half ranges";
  /** Whether a smooth departure may stand on it. */
  readonly base: boolean;
}

/** What follows from the name of a form alone. */
interface FormRules {
  /** As a reader says it. */
  readonly title: string;
  /** Whether it has a say beside the blended surface, which holds squares and smooth departures itself. */
  readonly averaged: boolean;
  /** Null where it is more than one regression. */
  readonly regression: RegressionRules | null;
}

/**
 * The forms a bead model can take, in the order in which they are tried and told: simplest first where coefficients are
 * equal in number, the more physical counting as simpler. A new form is its file and a row here; the compiler then leads
 * to `form-model`.
 */
export const formRules = {
  constrained: { title: "constrained form", averaged: true, regression: null },
  "energy-balance": {
    title: "energy balance",
    averaged: true,
    regression: { tried: "with powers", effects: "exponents", base: true },
  },
  "power-law": {
    title: "power law",
    averaged: true,
    regression: { tried: "with powers", effects: "exponents", base: true },
  },
  linear: {
    title: "linear surface",
    averaged: true,
    regression: { tried: "without powers", effects: "half ranges", base: true },
  },
  quadratic: {
    title: "quadratic surface",
    averaged: false,
    regression: { tried: "always", effects: "half ranges", base: false },
  },
  "gaussian-process": { title: "Gaussian process", averaged: false, regression: null },
} as const satisfies Readonly<Record<string, FormRules>>;

/** The forms a bead model can take, simplest first where coefficients are equal in number. */
export type FormName = keyof typeof formRules;

/** The forms that are one regression. */
export type RegressionName = {
  [F in FormName]: (typeof formRules)[F]["regression"] extends null ? never : F;
}[FormName];

/** Every form, in the order of the table. */
export const formNames = Object.keys(formRules) as readonly FormName[];

const rulesOf = (form: FormName): FormRules => formRules[form];

/**
 * A form's name as a reader says it.
 *
 * @example formTitle("power-law") // => "power law"
 */
export function formTitle(form: FormName): string {
  return rulesOf(form).title;
}

/** Whether a form has a say beside the blended surface. */
export const isAveraged = (form: FormName): boolean => rulesOf(form).averaged;

/** Whether the coefficients of a form are changes over half a setting's range, not exponents. */
export const isPerHalfRange = (form: RegressionName): boolean =>
  formRules[form].regression.effects === "half ranges";

/** The regressions that suit values and settings that have powers, or have none, in the order of the table. */
export function regressionsFor(powers: boolean): readonly RegressionName[] {
  const other = powers ? "without powers" : "with powers";
  return regressionNames.filter((form) => formRules[form].regression.tried !== other);
}

/** Whether a smooth departure may stand on a form. */
export const isBase = (form: RegressionName): boolean => formRules[form].regression.base;

const regressionNames = formNames.filter((form): form is RegressionName => rulesOf(form).regression !== null);
