import {
  type Attempt,
  type BuildForecast,
  type BuildPlan,
  type BuildRisks,
  planLayer,
  type StandoffAhead,
} from "../endurance/index.js";
import { inWords, levelPercent, percent, significant } from "../numeric/index.js";

/** Hours as a shop says them: 45 min, 3 h 20 min, 2 d 5 h. */
export function hoursText(hours: number): string {
  const minutes = Math.round(60 * hours);
  if (minutes < 60) return `${minutes} min`;
  const [days, left] = [Math.floor(minutes / 1440), minutes % 1440];
  const [h, min] = [Math.floor(left / 60), left % 60];
  if (days > 0) return h === 0 ? `${days} d` : `${days} d ${h} h`;
  return min === 0 ? `${h} h` : `${h} h ${min} min`;
}

/** The chance to finish, with its bounds; without a build logged it is a guess, and said to be one. */
export function chanceText({ chance: { predictive, atLeast, atMost }, tried }: BuildRisks): string {
  if (tried.length === 0)
    return `not known before a build was logged; a guess would be ${percent(predictive)}, and it may be anything`;
  return `${percent(predictive)} (between ${percent(atLeast)} and ${percent(atMost)} as far as the record tells)`;
}

/** What a build needs, in lines: label and text. */
export function needsOf({
  supplies,
  time,
  risks,
  plan,
  costs,
}: BuildForecast): readonly (readonly [string, string])[] {
  const { setting } = plan.build;
  const cost = costs.reduce((sum, line) => sum + line.cost, 0);
  return [
    [
      "Time",
      `${hoursText(time.expected)} with the stops expected; ${hoursText(supplies.time)} without, ${hoursText(time.longest)} in the longest twentieth of builds`,
    ],
    [
      "Arc",
      `${hoursText(supplies.arcTime)} on, ${hoursText(supplies.dwell)} waiting, ${Math.round(supplies.starts)} starts`,
    ],
    [
      "Wire",
      setting.wire_feed_speed === undefined
        ? "not known without a wire feed"
        : `${significant(supplies.wire)} m, ${significant(supplies.wireMass)} kg, ${countOf(supplies.spools, "new spool")}`,
    ],
    [
      "Gas",
      setting.gas_flow === undefined
        ? "not known without a gas flow"
        : `${significant(supplies.gas / 1000)} m3, ${countOf(supplies.cylinders, "cylinder change")}`,
    ],
    [
      "Electricity",
      supplies.electricity === null
        ? "not known without current and arc voltage"
        : `${significant(supplies.electricity)} kWh`,
    ],
    [
      "Changes",
      `${countOf(supplies.tungstenChanges, "tungsten")}, ${countOf(supplies.tipChanges, "contact tip")}, levelled ${countOf(supplies.relevels, "time")}`,
    ],
    ["Stops", `${significant(risks.stops, 2)} expected, ${hoursText(risks.lostTime / 60)} lost to them`],
    ...(costs.length === 0
      ? []
      : [
          [
            "Cost",
            `${moneyText(cost, plan)}: ${costs.map((line) => `${line.what} ${significant(line.cost)}`).join(", ")}`,
          ] as const,
        ]),
  ];
}

const countOf = (count: number, noun: string): string =>
  `${count} ${noun}${count === 1 || noun.endsWith("n") ? "" : "s"}`;

/** Headings of {@link causeRows}. */
export const causeHeadings: readonly { readonly heading: string; readonly numeric?: boolean }[] = [
  { heading: "Cause" },
  { heading: "Seen", numeric: true },
  { heading: "Stops ahead", numeric: true },
  { heading: "Time lost", numeric: true },
  { heading: "Share of risk", numeric: true },
  { heading: "Chance without it", numeric: true },
];

/** The causes as rows of text; before a build was tried how they share a chance nobody knows is left empty. */
export const causeRows = ({ causes, tried }: BuildRisks): readonly (readonly string[])[] =>
  causes.map(({ what, fatal, seen, stops, lostTime, share, without }) => [
    inWords(what),
    seen === 0 ? "" : `${seen}${fatal === 0 ? "" : `, ${fatal} fatal`}`,
    seen === 0 ? "" : significant(stops, 2),
    seen === 0 ? "" : hoursText(lostTime / 60),
    ...(tried.length === 0 ? ["", ""] : [percent(share), percent(without)]),
  ]);

/** A sum of money with its currency, where one was named. */
export const moneyText = (amount: number, { currency }: Pick<BuildPlan, "currency">): string =>
  `${significant(amount)}${currency === undefined ? "" : ` ${currency}`}`;

/** Where assumptions come from that no row of {@link assumptionRows} says otherwise of. */
export const USUAL_ORIGIN = "common practice, no source";

/**
 * What a forecast assumes, as rows of text: name, value, and what it is, behind its origin where that is not the usual one.
 * What the schedule tells layer by layer says so.
 */
export function assumptionRows(plan: BuildPlan): readonly (readonly string[])[] {
  const later = plan.outline.layers.slice(1);
  const byLayer = {
    dwell: later.length > 0 && later.every(({ layer }) => planLayer(plan, layer).dwell !== undefined),
    relevel_every:
      later.length > 0 && later.every(({ layer }) => planLayer(plan, layer).relevel !== undefined),
  };
  return Object.values(plan.assumptions).map(({ name, value, unit, origin, note }) => {
    if (byLayer[name as keyof typeof byLayer])
      return [name, "by layer", `schedule: ${note.replace(/;.*/, "")}`];
    const shown =
      unit !== "1"
        ? `${significant(value)} ${unit}`
        : name.endsWith("_price")
          ? moneyText(value, plan)
          : significant(value);
    return [name, shown, origin === "common practice" ? note : `${origin}: ${note}`];
  });
}

/** Headings of {@link limitRows}. */
export const limitHeadings = ["Limit", "State", "Asked and allowed"] as const;

/** The limits of a build as rows of text. */
export const limitRows = ({ limits }: BuildForecast): readonly (readonly [string, string, string])[] =>
  limits.map(({ what, state, asked, allowed, note }) => [
    what,
    state,
    [asked, allowed === "" ? "" : `allowed ${allowed}`, note].filter((part) => part !== "").join("; "),
  ]);

/** Where the stand-off goes by its readings, or what it would take to tell. */
export function standoffAheadText(ahead: StandoffAhead | null): string {
  if (ahead === null)
    return "Stand-off ahead: not foreseen; it takes the planned rises and five readings that follow on each other, each set anew logged with standoff_set";
  const { readings, until, levelled, bands, level, touch, tooLong } = ahead;
  const { expected, low, high } = bands.at(-1)!;
  return `Stand-off ahead, by ${readings} readings: ${significant(expected)} mm before layer ${until}${levelled ? ", levelled there" : ""} (${levelPercent(level)}: ${significant(low)} to ${significant(high)}); chance to touch till then ${percent(touch)}${tooLong === null ? "" : `, to stretch too long ${percent(tooLong)}`}`;
}

/** One build as a row of text: name, start, state, layers, arc, incidents, time lost. */
export const attemptRow = ({
  build,
  started,
  state,
  layers,
  run,
  incidents,
  lostTime,
}: Attempt): readonly string[] => [
  build,
  started.slice(0, 10),
  inWords(state),
  String(layers),
  run.arc_time === undefined ? "" : hoursText(run.arc_time),
  String(incidents.length),
  lostTime === 0 ? "" : hoursText(lostTime / 60),
];
