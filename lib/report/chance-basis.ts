import type { BuildRisks } from "../endurance/index.js";
import { percent, significant } from "../numeric/index.js";

/** What the chance to finish assumes, and how far the record speaks for each; one sentence or two a line. */
export function chanceBasis({ chance: { laws, trends }, tried, touch }: BuildRisks): readonly string[] {
  const sum = (items: readonly { readonly weight: number }[]): string =>
    percent(items.reduce((total, { weight }) => total + weight, 0));
  const told =
    tried.length === 0
      ? []
      : [
          `How builds are lost is averaged over: ${sum(laws.filter(({ kind }) => kind.endsWith("share")))} for a share of builds whatever their length (a mistake, a bad spool), ${sum(laws.filter(({ kind }) => kind === "rate"))} for a hazard in the work (${sum(laws.filter(({ kind, within }) => kind === "rate" && within > 1))} one that grows, as wear does), ${sum(laws.filter(({ kind }) => kind === "uneven rate"))} for one that differs between good and bad builds.`,
          `From build to build the hazard is taken as steady with ${sum(trends.filter(({ fall }) => fall === 0))}, as falling with ${sum(trends.filter(({ fall }) => fall > 0))}, judged by where builds ended, by stops of the causes that ended them, and by changes of equipment that has no life to be used up.`,
        ];
  return [
    ...told,
    "Builds given up count as far as they came. A smaller build counts for less, by its starts, layers and arc time. The causes share the risk as they ended builds, and one loss more by how often each lies ahead.",
    touch.layer === null
      ? "No band of the planned stand-off, where there is one, comes near a touch; a touch counts as far as builds ended by it."
      : `The torch touches at ${significant(touch.at)} mm: by the planned bands that comes in ${percent(touch.chance)} of builds, most of all in layer ${touch.layer}.`,
  ];
}
