import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import type { LinearFit } from "../../regression/index.js";
import type { FormQuality } from "./form.js";
import { type FormName, formTitle } from "./form-rules.js";
import type { FreeForm } from "./predict-form.js";

/** One line of the table of forms tried on a response. */
export interface FormCandidate {
  readonly form: FormName;
  /** The variant fitted, and terms it had to drop. */
  readonly detail?: string;
  /** Coefficients of the mean. */
  readonly parameters?: number;
  readonly scatter?: number;
  readonly leftOutError?: number;
  /** Unit of the two errors: 1 where they are relative. */
  readonly errorUnit?: string;
  readonly aicc?: number;
  /** Why the form was not fitted. */
  readonly reason?: string;
}

/** The line of a fitted form. */
export function formCandidate(quality: FormQuality, detail?: string): FormCandidate {
  const { form, parameters, scatter, leftOutError, errorUnit, aicc } = quality;
  return onlyDefined({ form, detail, parameters, scatter, leftOutError, errorUnit, aicc });
}

/** What was fitted exactly: on which scale, with which base, and what was dropped. */
export function detailOf(form: FreeForm): string {
  if (form.form === "gaussian-process") return `on the ${formTitle(form.base.form)}`;
  const aliased = (form.fit as Partial<LinearFit>).aliased ?? [];
  const kind =
    form.fitScale === "linear"
      ? "same scatter everywhere"
      : form.fitScale === "log"
        ? "scatter in proportion"
        : "of tan of half the angle";
  return aliased.length === 0 ? kind : `${kind}; dropped ${aliased.map(({ term }) => term).join(", ")}`;
}

/** Runs a fit; one that the data do not support becomes a line that says why. */
export function tryForm<T>(
  form: FormName,
  work: () => T,
): { readonly fit: T } | { readonly failed: FormCandidate } {
  try {
    return { fit: work() };
  } catch (error) {
    if (!(error instanceof BeadbenchError) || error.code !== "not-enough-data") throw error;
    return { failed: { form, reason: error.message } };
  }
}
