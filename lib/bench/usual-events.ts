import type { Study } from "../study/index.js";
import { label } from "./columns.js";
import type { BenchChoice } from "./wire/index.js";

/** What commonly goes wrong at such a rig. Common practice, no source. */
const usualIncidents = [
  "arc_lost",
  "wire_stuck",
  "stubbing",
  "tungsten_touched",
  "burn_back",
  "spatter",
  "gas_out",
  "position_lost",
];

/** What is commonly changed at such a rig. Common practice, no source. */
const usualChanges = ["tungsten", "contact_tip", "gas_cylinder", "wire_spool", "nozzle", "liner"];

/** What this study logged as gone wrong, the most frequent first, then what is usual. */
export const incidentChoices = ({ incidents }: Study): readonly BenchChoice[] =>
  choices(incidents, usualIncidents);

/** What this study logged as changed, the most frequent first, then what is usual. */
export const changeChoices = ({ changes }: Study): readonly BenchChoice[] => choices(changes, usualChanges);

function choices(
  logged: readonly { readonly what: string }[],
  usual: readonly string[],
): readonly BenchChoice[] {
  const counts = new Map<string, number>();
  for (const { what } of logged) counts.set(what, (counts.get(what) ?? 0) + 1);
  for (const what of usual) if (!counts.has(what)) counts.set(what, 0);
  return [...counts]
    .map(([what, count]) => ({ what, label: label(what), count }))
    .sort((a, b) => b.count - a.count);
}
