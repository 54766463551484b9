import { requireThat } from "../errors/index.js";
import { counted, inWords, mean, sentence } from "../numeric/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  measure,
} from "./spec.js";
import { colours } from "./theme.js";

/** Readings at stations along one bead. */
export interface StationBead {
  readonly coupon: string;
  readonly readings: readonly {
    /** Position along the bead, or number of the station. */
    readonly at: number;
    /** `null` when no reading was taken. */
    readonly value: number | null;
    /** Reading that looks like a drop-out of the gauge; the coupon's value keeps it, the dashed mean does not. */
    readonly dropOut: boolean;
  }[];
}

/** What {@link chartStations} draws. */
export interface StationChartData {
  readonly response: ChartQuantity;
  readonly position: ChartQuantity;
  readonly beads: readonly StationBead[];
}

/**
 * Station readings along each bead: dots joined where neighbours were read, drop-outs crossed out, and
 * as a dashed line the mean of the others, which the coupon's value would be once they are corrected. A slope is heat build-up or a tilted plate; a bump at an
 * end is arc start or crater.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no bead, a bead has no reading, or a number is not finite
 */
export function chartStations(data: StationChartData): ChartSpec {
  const { beads, response, position } = data;
  requireThat(beads.length > 0, "chartStations: needs at least one bead, got none");
  const read = beads.flatMap((bead) => bead.readings.filter((reading) => reading.value !== null));
  const dropOuts = read.filter((reading) => reading.dropOut).length;
  const missing = beads.flatMap((bead) => bead.readings).length - read.length;
  return chart({
    description:
      `${axisTitle(response)} at stations along ${counted(beads.length, "bead")}: ${counted(read.length, "reading")}, ` +
      `${counted(dropOuts, "drop-out")}, ${missing} not taken.`,
    title: `${sentence(inWords(response.name))} along the bead`,
    subtitle: [
      "Dashed: mean without the crosses. Cross: drop-out, kept in the coupon's value until it is corrected. Gap: not measured.",
    ],
    body: {
      columns: 2,
      concat: beads.map((bead) => beadPanel({ bead, response, position, alone: beads.length === 1 })),
      resolve: { scale: { y: "shared", x: "shared" } },
    },
  });
}

function beadPanel({
  bead,
  response,
  position,
  alone,
}: {
  readonly bead: StationBead;
  readonly response: ChartQuantity;
  readonly position: ChartQuantity;
  readonly alone: boolean;
}): ChartPart {
  const x = measure("at", axisTitle(position), { axis: { tickCount: 6 } });
  const y = measure("value", axisTitle(response), {
    scale: { zero: false, padding: 7 },
    axis: { tickCount: 5 },
  });
  const kept = bead.readings.filter((reading) => reading.value !== null && !reading.dropOut);
  const dropOuts = bead.readings.filter((reading) => reading.value !== null && reading.dropOut);
  requireThat(kept.length > 0, `chartStations: coupon ${bead.coupon} has no reading that is kept`);
  const level = mean(kept.map(({ value }) => value!));
  // A drop-out breaks the line like a missing reading, so that the line never passes through it.
  const line = bead.readings.map(({ at, value, dropOut }) => ({ at, value: dropOut ? null : value }));
  const layers: ChartPart[] = [
    {
      data: inline("chartStations", `coupon ${bead.coupon} readings`, [{ value: level }]),
      mark: { type: "rule", strokeDash: [5, 4] },
      encoding: { y },
    },
    {
      data: inline("chartStations", `coupon ${bead.coupon} readings`, line),
      mark: {
        type: "line",
        color: colours.model.light,
        invalid: "break-paths-show-path-domains",
        strokeWidth: 1.5,
      },
      encoding: { x, y },
    },
    {
      data: inline("chartStations", `coupon ${bead.coupon} readings`, kept),
      mark: { type: "point", color: colours.measured.light, size: 36 },
      encoding: { x, y },
    },
  ];
  if (dropOuts.length > 0) {
    layers.push({
      data: inline("chartStations", `coupon ${bead.coupon} readings`, dropOuts),
      mark: { type: "point", shape: "cross", angle: 45, color: colours.alarm.light, size: 90 },
      encoding: { x, y },
    });
  }
  return {
    title: { text: `Coupon ${bead.coupon}`, fontSize: 12, fontWeight: "normal", offset: 6 },
    width: alone ? 480 : 240,
    height: alone ? 240 : 130,
    layer: layers,
  };
}
