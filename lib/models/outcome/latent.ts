import { onlyDefined } from "../../errors/index.js";
import type { Response, StudyDefinition } from "../../study/index.js";
import { dimensionsOf, measuredSize, type SizeRole } from "../physical/index.js";
import type { Priors } from "../priors/index.js";
import type { Coordinate } from "./coordinates.js";
import type { LatentPrior } from "./latent-prior.js";
import type { PhysicalLogs } from "./physical-logs.js";
import type { ResponseLink } from "./response-link.js";
import { areaPart, heightPart, otherPart, type ResponsePart, widthPart } from "./response-part.js";

/** Hidden quantities of a study and the responses made of them, response by response. */
export interface LatentModel {
  readonly priors: readonly LatentPrior[];
  readonly links: readonly ResponseLink[];
}

/** What the hidden quantities of a study follow from. */
export interface LatentModelParts {
  readonly definition: StudyDefinition;
  readonly coordinates: readonly Coordinate[];
  /** Undefined where the physics is not known. */
  readonly logs: PhysicalLogs | undefined;
  /** Measured values of each response so far, to place scales the study leaves open. */
  readonly values: ReadonlyMap<string, readonly number[]>;
  readonly priors: Priors;
}

/**
 * The hidden quantities of a study: width by a power law of the settings, fullness, and with them height by
 * conservation of mass, `h = A / (c w)`; other responses on their own.
 */
export function latentModel(study: LatentModelParts): LatentModel {
  const parts = responseParts(study);
  const width = parts.findIndex(({ prior }) => prior.role === "width");
  const links = parts.map((part, index): ResponseLink => {
    const coefficients = parts.map(() => 0);
    if (width >= 0) coefficients[width] = part.width;
    coefficients[index] = part.own;
    const { response, log, origin, scale, offset } = part;
    return { response: response.name, log, origin, scale, offset, coefficients, own: index };
  });
  return { priors: parts.map(({ prior }) => prior), links };
}

function responseParts({
  definition,
  coordinates,
  logs,
  values,
  priors,
}: LatentModelParts): readonly ResponsePart[] {
  const measured = dimensionsOf(definition);
  const valuesOf = ({ name }: Response): readonly number[] => values.get(name) ?? [];
  const other = (response: Response): ResponsePart =>
    otherPart(response, { coordinates, priors, ...onlyDefined({ logs }) }, valuesOf(response));
  if (logs === undefined) return measured.map(other);
  const find = (role: SizeRole): Response | undefined =>
    measured.find((r) => measuredSize(r)?.role === role && valuesOf(r).every((value) => value > 0));
  const [width, height, area] = [find("width"), find("height"), find("area")];
  const context = { coordinates, logs, priors };
  return measured.map((response) => {
    switch (response) {
      case width:
        return widthPart(response, context);
      case height:
        return heightPart(response, context, width);
      case area:
        return areaPart(response, context);
      default:
        return other(response);
    }
  });
}
