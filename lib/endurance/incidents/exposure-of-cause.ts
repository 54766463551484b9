import { ownValue } from "../../errors/index.js";
import type { ExposureKind } from "../../study/definition/index.js";

/** Words in the name of an incident, and what its chance grows with. Common practice, no source. */
const grows: readonly (readonly [RegExp, ExposureKind])[] = [
  // Wire freezes into the crater where the arc stops; stuck in its liner or on its spool it is a matter of length.
  [/^(?!.*(liner|spool|feed)).*stuck/, "starts"],
  [/start|ignit|strike|tungsten|electrode|stick|stub|hf|tack|crater|stop|melt_?back|burn_?back/, "starts"],
  [/wire|feed|liner|tangle|spool|nest|tip|drive|kink/, "wire"],
  [
    /layer|touch|drift|standoff|stand_off|height|slump|sag|level|position|lost_step|crash|collision/,
    "layers",
  ],
  [/gas|argon|cylinder|purge|leak|porosity|oxid/, "gas"],
  [/water|cool|heat|overheat|power|source|trip|fuse|breaker|mains|controller|software|pump/, "machine_time"],
];

/**
 * What the chance of an incident grows with, by its name: a start for what fails at a start, a metre of wire for what
 * the feed does, a layer for what drifts; otherwise an hour of arc.
 *
 * @param told - what the user says of a kind of incident; it wins
 * @example exposureOfCause("wire_tangled") // => "wire"
 */
export function exposureOfCause(
  what: string,
  told: Readonly<Record<string, ExposureKind>> = {},
): ExposureKind {
  return ownValue(told, what) ?? grows.find(([words]) => words.test(what))?.[1] ?? "arc_time";
}
