import type { Finding } from "../../errors/index.js";
import { percent, settingDigits, significant } from "../../numeric/figures/index.js";
import { type Response, verdictWord } from "../../study/definition/index.js";
import { measuredOf, type StudyData } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";
import { correctionCommand } from "../gate/index.js";
import { measuredSize } from "../physical/index.js";
import { exchangeFinding, exchanges } from "./exchanged-values.js";
import { type PenSlip, penSlips } from "./pen-slips.js";
import { dropOuts, strayReadings } from "./readings.js";
import { type SettingSlip, settingSlips } from "./setting-slips.js";
import { type StationSlip, stationSlips } from "./station-slips.js";
import type { Meant } from "./typed-slips.js";
import { type VerdictSlip, verdictSlips } from "./verdict-slips.js";

/** Single values that are likelier slips of the pen than what the rig did. Nothing is changed for them. */
export interface Slips extends TypedSlips {
  readonly verdicts: readonly VerdictSlip[];
}

/** Slips in what was typed as a number. */
export interface TypedSlips {
  readonly values: readonly PenSlip[];
  readonly settings: readonly SettingSlip[];
  readonly stations: readonly StationSlip[];
}

/** A slip by this factor or more, and this sure, refuses the study: no model can use such a value. */
const GROSS = Math.log(3);
const SURE = 0.95;

/** Coupons and columns that something else explains, such as a wrong unit. */
type Explained = ReadonlyMap<string, ReadonlySet<string>>;

/** Looks for slips of the pen in settings, sizes, station readings and verdicts. */
export function findSlips(study: StudyData, apart?: Explained): Slips {
  const typed = findTypedSlips(study, apart);
  return { ...typed, verdicts: verdictSlips(withoutMistyped(study, typed.settings)) };
}

/** What a coupon with a mistyped setting shows says nothing of the others. */
function withoutMistyped({ definition, coupons }: StudyData, settings: readonly SettingSlip[]): StudyData {
  const odd = new Set(settings.map(({ coupon }) => coupon));
  return { definition, coupons: coupons.filter(({ id }) => !odd.has(id)) };
}

/** Looks for slips of the pen in settings, sizes and station readings. */
export function findTypedSlips({ definition, coupons }: StudyData, apart: Explained = new Map()): TypedSlips {
  const known = (column: string, coupon: string): boolean => apart.get(column)?.has(coupon) === true;
  const settings = settingSlips({ definition, coupons }).filter(
    ({ factor, coupon }) => !known(factor, coupon),
  );
  const told = [...dropOuts({ coupons }), ...strayReadings({ coupons })];
  const stations = stationSlips({ definition, coupons }).filter(
    (slip) =>
      !told.some(
        ({ coupon, response, station }) =>
          coupon === slip.coupon && response === slip.response && station === slip.station,
      ),
  );
  // A station told of explains its coupon's mean.
  const explained = [...stations, ...told];
  return {
    settings,
    stations,
    values: penSlips(withoutMistyped({ definition, coupons }, settings)).filter(
      ({ response, coupon }) =>
        !known(response, coupon) &&
        !explained.some((station) => station.coupon === coupon && station.response === response),
    ),
  };
}

/** The findings on slips, one for each value, and on sizes that cannot be. */
export function slipFindings(
  { definition, coupons }: StudyData,
  { values, settings, stations, verdicts }: Slips,
): readonly Finding[] {
  const unitOf = (name: string): string =>
    [...definition.responses, ...definition.factors].find((one) => one.name === name)?.unit ?? "1";
  const exchanged = exchanges({ definition, coupons }, values);
  const single = values.filter((slip) => !exchanged.some(({ slips }) => slips.includes(slip)));
  const gravest = (slips: readonly PenSlip[]): Finding["severity"] =>
    slips.some((slip) => valueSeverity(slip) === "error") ? "error" : "warning";
  return [
    ...impossible({ definition, coupons }),
    ...settings.map((slip) => settingFinding(slip)),
    ...exchanged.map((one) => exchangeFinding(one, unitOf, gravest(one.slips))),
    ...single.map((slip) => valueFinding(slip, unitOf(slip.response))),
    ...stations.map((slip) => stationFinding(slip, unitOf(slip.response))),
    ...verdicts.map((slip) =>
      verdictFinding(slip, definition.responses.find(({ name }) => name === slip.response)!),
    ),
  ];
}

function impossible({ definition, coupons }: StudyData): readonly Finding[] {
  return definition.responses.flatMap((response) => {
    if (measuredSize(response)?.positive !== true) return [];
    return coupons.flatMap((coupon): Finding[] => {
      const value = measuredOf(coupon, response.name);
      if (value === undefined || value > 0) return [];
      return [
        {
          code: "impossible-size",
          severity: "error",
          message: `${coupon.id}: ${response.name} of ${withUnit(significant(value), response.unit)} cannot be: a size is above 0`,
          advice: `measure it again, then: ${correctionCommand(coupon.id, [response.name, `<value> ${response.unit}`])}`,
          about: [coupon.id],
        },
      ];
    });
  });
}

const sure = (chance: number): string => (chance > 0.995 ? "over 99 %" : percent(chance));

/** What a value is thought to be, as it is thought. */
const suspected = (chance: number): string =>
  `${chance < 0.5 ? "may be" : "is likely"} a slip of the pen (chance ${sure(chance)})`;

type Guess = Pick<Meant, "value" | "how"> | undefined;

/** What was likely meant, as the end of a message. */
const fitText = (meant: Guess, unit: string, print: (value: number) => string): string =>
  meant === undefined ? "" : `; ${withUnit(print(meant.value), unit)} would fit (${meant.how})`;

/** What to put in the place of a slip. */
const instead = (meant: Guess, unit: string): string =>
  withUnit(meant === undefined ? "<value>" : settingDigits(meant.value), unit);

function severityOf(chance: number, value: number, usual: number): Finding["severity"] {
  return chance >= SURE && Math.abs(Math.log(value / usual)) >= GROSS ? "error" : "warning";
}

function settingFinding({ coupon, factor, unit, value, chance, others, meant }: SettingSlip): Finding {
  const [low, high] = others;
  const near = value > high ? high : low;
  return {
    code: "setting-slip",
    severity: severityOf(chance, value, near),
    message: `${coupon}: ${factor} ${withUnit(settingDigits(value), unit)} ${suspected(chance)}: all other coupons lie within ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}${fitText(meant, unit, settingDigits)}`,
    advice: `look at the sheet; if mistyped: ${correctionCommand(coupon, [factor, instead(meant, unit)])}`,
    about: [coupon],
  };
}

const valueSeverity = ({ chance, value, expected }: PenSlip): Finding["severity"] =>
  severityOf(chance, value, expected.value);

function valueFinding(slip: PenSlip, unit: string): Finding {
  const { coupon, response, value, chance, expected, meant } = slip;
  return {
    code: "pen-slip",
    severity: valueSeverity(slip),
    message: `${coupon}: ${response} ${withUnit(significant(value), unit)} ${suspected(chance)}: the other coupons foresee ${withUnit(`${significant(expected.value)} (${significant(expected.lower)} to ${significant(expected.upper)})`, unit)} at its settings${fitText(meant, unit, significant)}`,
    advice: `measure it again and look at its settings on the sheet; if mistyped: ${correctionCommand(coupon, [response, instead(meant, unit)])}`,
    about: [coupon],
  };
}

function stationFinding(
  { coupon, response, station, reading, chance, usual, meant }: StationSlip,
  unit: string,
): Finding {
  return {
    code: "station-slip",
    severity: severityOf(chance, reading, usual),
    message: `${coupon}: ${response} station ${station} reads ${withUnit(settingDigits(reading), unit)} among ${significant(usual)} and ${suspected(chance)}${fitText(meant, unit, significant)}`,
    advice: `measure that station again; if mistyped, give all stations anew: ${correctionCommand(coupon, [response, `<readings> ${unit}`])}`,
    about: [coupon],
  };
}

function verdictFinding(
  { coupon, response, passed, foreseen, chance }: VerdictSlip,
  judged: Response,
): Finding {
  const word = verdictWord(judged, passed);
  return {
    code: "verdict-slip",
    severity: "warning",
    message: `${coupon}: ${response} ${word} goes against the other coupons, which give it a chance of ${percent(foreseen, 1)} at these settings; it may be ticked wrongly (chance ${sure(chance)})`,
    advice: `look at the coupon again; if ticked wrongly: ${correctionCommand(coupon, [response, verdictWord(judged, !passed)])}`,
    about: [coupon],
  };
}
