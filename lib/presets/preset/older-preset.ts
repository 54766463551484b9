import type { z } from "zod";
import { PRESET_SCHEMA, type Preset } from "./preset.js";
import type { shapeOf1 } from "./preset-shape.js";
import { reviewOf } from "./review.js";
import { isSequenceName, startAndStop } from "./sequence.js";

type Preset1 = z.infer<typeof shapeOf1>;

/**
 * A preset of the first version as one of this: what that version did not write down stays untold, so that it is in doubt
 * where a rig's form is asked for ({@link presetDoubts}); start and stop are the usual ones where it held none.
 */
export function fromVersion1({ schema: _, basis, held, settings, ...preset }: Preset1): Preset {
  const numbers = (list: Preset1["held"]) =>
    Object.fromEntries(
      list.flatMap(({ name, value, unit }) =>
        typeof value === "number" ? [[name, { value, unit }] as const] : [],
      ),
    );
  const { level } = preset.window;
  // What was asked stood in a finding alone, where no setting reached it.
  const missed = preset.findings.find(({ code }) => code === "level-not-reached");
  const asked = missed === undefined ? level : Number(/chance of (0?\.\d+)/.exec(missed.message)?.[1] ?? 1);
  const added = {
    window: { asked, ...preset.window },
    review: reviewOf(new Date(preset.made)),
    sequence: startAndStop(preset.process, {
      wire: preset.wire !== undefined,
      settings: numbers(settings),
      rig: numbers(held),
    }),
    derived: [],
    limits: [],
  };
  return {
    ...(preset as Omit<Preset, keyof typeof added | "schema" | "basis" | "held" | "settings">),
    ...added,
    schema: PRESET_SCHEMA,
    basis: { ...(basis as Preset["basis"]), model: "outcome model, version untold" },
    settings,
    held: held.filter(({ name }) => !isSequenceName(name)),
  };
}
