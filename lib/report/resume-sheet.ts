import type { BuildProgress } from "../endurance/index.js";
import { ownValue } from "../errors/index.js";
import { type PhysicalQuantity, physicalUnits } from "../models/index.js";
import { inWords, settingDigits, significant } from "../numeric/index.js";
import type { DefinedStudy, StudyDefinition } from "../study/index.js";
import { convert } from "../units/index.js";
import { ATTENDED } from "./build-page.js";
import { chanceText, hoursText, standoffAheadText } from "./build-words.js";
import type { ReportDocument, ReportTable } from "./document.js";

/** What must be so before the arc is struck again on a half-built part. Common practice, no source. */
const checks = [
  "Find out why it stopped, and that the cause is gone.",
  "Part and base are where they were: touch the reference points and write down what differs.",
  "Re-reference the axes; go to the height below without arc and look at the gap all along the layer.",
  "Measure the stand-off at the start, the middle and the end of the next layer.",
  "Brush or grind the last crater and any oxide; dry the part if water or dew has reached it.",
  "Bring the part to the temperature the next layer is planned to begin at: a cold part takes a taller, narrower bead.",
  "Grind the tungsten, cut the wire end, purge hose and enclosure, read the cylinder.",
  "Strike beside the last crater and overlap it; not on top of the start of the layer below.",
] as const;

/** A sheet to pause a build by and to go on from: the state to re-enter, checks, and boxes to write in. */
export function resumeSheet(
  { definition }: DefinedStudy,
  progress: BuildProgress,
  cautions: readonly string[],
): ReportDocument {
  const { attempt, plan, done, layers, left, risks, findings } = progress;
  return {
    title: `Pause and resume: ${attempt.build}`,
    subtitle: `${inWords(plan.study)}, ${done} of ${layers} layers done, last logged ${attempt.last.slice(0, 16).replace("T", " ")}`,
    cautions: [ATTENDED, ...cautions],
    onePaper: "to write on",
    sections: [
      { heading: "Where it stands", tables: [stateTable(progress)], findings },
      { heading: "Next layer", tables: [settingsTable(progress, definition)] },
      {
        heading: "Before the arc is struck again",
        tables: [
          {
            caption: "Tick each, and write down what was found",
            columns: [{ heading: "Check" }, { heading: "Found" }],
            rows: checks.map((check) => [`☐ ${check}`, ""]),
          },
        ],
      },
      {
        heading: "What is left",
        paragraphs: [
          `${hoursText(left.time)} without stops, ${hoursText(left.arcTime)} of arc; ${significant(left.wire)} m of wire, ${significant(left.gas)} L of gas.`,
          ...(progress.standoff.length === 0 ? [] : [`${standoffAheadText(progress.standoffAhead)}.`]),
          `Chance to finish from here: ${chanceText(risks)}.`,
        ],
      },
    ],
  };
}

function stateTable({
  attempt,
  done,
  height,
  standoff,
  gasInCylinder,
  counters,
}: BuildProgress): ReportTable {
  const last = standoff.at(-1);
  const rows: (readonly string[])[] = [
    ["State", inWords(attempt.state)],
    ["Layers finished", String(done)],
    [
      "Height of the next start above the first",
      height === null ? "no rise was planned" : `${settingDigits(height)} mm`,
    ],
    [
      "Last stand-off read",
      last === undefined ? "none" : `${significant(last.value)} mm after layer ${last.layer}`,
    ],
    ["Gas in the cylinder", gasInCylinder === null ? "not read" : `${significant(gasInCylinder)} L usable`],
    ...attempt.incidents
      .slice(-5)
      .map(({ what, layer, cause, note }) => [
        `Incident${layer === undefined ? "" : ` in layer ${layer}`}`,
        [inWords(what), cause, note].filter(Boolean).join("; "),
      ]),
    ...counters.map(({ what, changed }) => [`Last change of ${inWords(what)}`, changed.slice(0, 10)]),
    ...attempt.steps
      .flatMap(({ note, event }) => (note === undefined ? [] : [[inWords(event), note]]))
      .slice(-4),
  ];
  return { caption: "State to re-enter", columns: [{ heading: "What" }, { heading: "As logged" }], rows };
}

function settingsTable({ plan, done }: BuildProgress, definition: StudyDefinition): ReportTable {
  const own = ownValue(plan.perLayer, String(done + 1));
  const setting = { ...plan.build.setting, ...own?.setting };
  const rise = own?.rise ?? plan.rise;
  const planned = plan.standoff.find(({ layer }) => layer === done + 1);
  return {
    caption: `Layer ${done + 1}, as planned`,
    columns: [{ heading: "Setting" }, { heading: "Value" }],
    rows: [
      ...Object.entries(setting).map(([name, value]) => [
        inWords(name),
        inStudyUnit(name as PhysicalQuantity, value, definition),
      ]),
      ...(rise === undefined ? [] : [["rise before it", `${settingDigits(rise)} mm`]]),
      ...(own?.dwell === undefined ? [] : [["wait before it", `${settingDigits(own.dwell)} s`]]),
      ...(own?.temperature === undefined
        ? []
        : [["temperature it begins at", `${significant(own.temperature)} degC`]]),
      ...(planned === undefined
        ? []
        : [
            [
              "stand-off",
              `${significant(planned.expected)} mm (${significant(planned.low)} to ${significant(planned.high)})`,
            ],
          ]),
    ],
  };
}

/** A setting in the unit the study sets it in. */
function inStudyUnit(name: PhysicalQuantity, value: number, { factors, rig }: StudyDefinition): string {
  const inside = physicalUnits[name];
  const unit =
    factors.find((factor) => factor.name === name)?.unit ?? ownValue(rig?.settings, name)?.unit ?? inside;
  return `${settingDigits(convert(value, inside, unit))} ${unit}`;
}
