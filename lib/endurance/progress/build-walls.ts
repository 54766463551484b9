import type { DefinedStudy } from "../../study/index.js";
import { attempts, type RunRecord } from "../record/index.js";
import type { WallReading } from "../wall/index.js";
import { type BuildReading, readingsOf } from "./readings.js";

/**
 * Heights and temperatures logged with builds, as the walls that {@link planWall} learns from. Stand-offs are left out:
 * they tell a growth only beside every rise and levelling, which a build does not log.
 *
 * @param names - builds to take; default all that have a height logged
 */
export function buildWalls(
  study: DefinedStudy & Pick<RunRecord, "buildSteps" | "incidents">,
  names?: readonly string[],
): readonly WallReading[] {
  return attempts(study)
    .filter(({ build }) => names === undefined || names.includes(build))
    .flatMap((attempt) => {
      const at = (list: readonly BuildReading[], shift: number) =>
        new Map(
          list.filter(({ layer }) => layer + shift >= 1).map(({ layer, value }) => [layer + shift, value]),
        );
      const heights = at(readingsOf(attempt, "height"), 0);
      // Read after a layer, a temperature is that at which the next one begins.
      const temperatures = at(readingsOf(attempt, "interpass_temperature"), 1);
      if (heights.size === 0) return [];
      const layers = [...new Set([...heights.keys(), ...temperatures.keys()])].sort((a, b) => a - b);
      return layers.map(
        (layer): WallReading => ({
          wall: attempt.build,
          layer,
          standoff: null,
          height: heights.get(layer) ?? null,
          rise: null,
          temperature: temperatures.get(layer) ?? null,
        }),
      );
    });
}
