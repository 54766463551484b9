import { fixed, rounds } from "../../../numeric/format/index.js";
import { measureArea, measureWidths, type PhotoMeasure, type PhotoReading } from "../../../photo/index.js";
import { type Mark, type MeasureKind, pointsOf } from "./marks.js";

/** 97.5 % point of the standard normal distribution. */
export const Z95 = 1.96;

/** What the points on a picture say. */
export interface PhotoFinding {
  readonly unit: "mm" | "mm2";
  /** One per station; one area. */
  readonly measures: readonly PhotoMeasure[];
  /** Of several stations. */
  readonly mean?: PhotoMeasure;
}

/** Reads the picture. */
export function findingOf({
  kind,
  marks,
  reading,
  stations,
}: {
  readonly kind: MeasureKind;
  readonly marks: readonly Mark[];
  readonly reading: PhotoReading;
  readonly stations: number;
}): PhotoFinding {
  if (kind === "outline")
    return { unit: "mm2", measures: [measureArea(reading, pointsOf(marks, "outline"))] };
  const { stations: measures, mean } = measureWidths(
    reading,
    [pointsOf(marks, "first"), pointsOf(marks, "second")],
    stations,
  );
  return { unit: "mm", measures, ...(stations > 1 ? { mean } : {}) };
}

/** A value with its 95 % limits: "5.93 ± 0.07". */
export const withError = ({ value, sd }: PhotoMeasure): string =>
  `${fixed(value, 2)} ± ${fixed(Z95 * sd, 2)}`;

/** A value without digits that its error makes meaningless: to a tenth of that, or finer. */
export function asKept({ value, sd }: PhotoMeasure): number {
  const places = -Math.floor(Math.log10(Z95 * sd));
  return rounds(value, Math.max(1, Math.floor(Math.log10(value)) + 1 + places));
}

/** Where the error comes from, in words. */
export function errorParts({ parts: { clicks, scale, shape } }: PhotoMeasure): string {
  const own = (sd: number): string => fixed(Z95 * sd, 3);
  return [
    `± ${own(clicks)} from the points`,
    `± ${own(scale)} from the scale`,
    ...(shape > 0 ? [`± ${own(shape)} from curves cut by straight sides`] : []),
  ].join(", ");
}

/** What the journal says of a measurement. */
export function findingNote({ unit, measures }: PhotoFinding, how: string): string {
  return `Read from a photo: ${measures.map(withError).join(", ")} ${unit} (95 %); ${how}`;
}
