import { assume } from "../../endurance/index.js";
import { BeadbenchError, ownValue, requireNumber } from "../../errors/index.js";
import { processFacts, processOf } from "../../process/index.js";
import { convert, type Quantity, sameDimension, unitsLike } from "../../units/index.js";

/** One number of a start or stop, in its unit. */
export interface SequenceStep {
  readonly name: SequenceName;
  readonly value: number;
  readonly unit: string;
  /** Who said it: the study's rig, a setting the study varies, or nobody, which makes it a usual value. */
  readonly origin: "rig" | "setting" | "assumed";
  /** What it is, and of an assumed one that no source stands behind it. */
  readonly note: string;
  readonly mark?: string;
}

/** How an arc is started and stopped, each in its order in time. */
export interface StartStop {
  readonly start: readonly SequenceStep[];
  readonly stop: readonly SequenceStep[];
}

type Usual = (current: number | undefined) => number;

interface SequenceRow {
  readonly place: keyof StartStop;
  readonly unit: "s" | "mm" | "A";
  /** Usual value by how the wire is fed; absent where there is none, so that only a study that tells it has the step. */
  readonly cold: Usual;
  readonly electrode?: Usual;
  readonly about: string;
  /** Whether it makes sense only with a wire, or only with an arc. */
  readonly needs?: "wire" | "arc";
  /** Another name that a study may give it. */
  readonly also?: string;
}

const always =
  (value: number): Usual =>
  () =>
    value;
const preFlow = always(assume([]).pre_flow.value);
/** About a second per 10 A, and not below what a forecast of gas takes. */
const postFlow: Usual = (current = 0) => Math.max(assume([]).post_flow.value, Math.ceil(current / 10));

/**
 * The steps in their order. Usual values: common practice, no source. Up-slope 0.2 to 2 s, pool 1 to 3 s, down-slope 2 to
 * 10 s to 10 to 25 A, retract 3 to 8 mm are what shops run TIG with a cold wire at; a consumable electrode starts and stops
 * at its setting.
 */
const rows = {
  pre_flow: {
    place: "start",
    unit: "s",
    cold: preFlow,
    electrode: preFlow,
    about: "gas before the arc is struck",
  },
  up_slope: {
    place: "start",
    unit: "s",
    cold: always(1),
    electrode: always(0),
    about: "from the end current up to the setting",
    needs: "arc",
  },
  pool_dwell: {
    place: "start",
    unit: "s",
    cold: always(2),
    electrode: always(0),
    about: "standing still until the pool is there",
  },
  feed_delay: {
    place: "start",
    unit: "s",
    cold: always(0),
    electrode: always(0),
    about: "from the pool to the wire",
    needs: "wire",
  },
  melt_back_delay: {
    place: "stop",
    unit: "s",
    cold: always(0),
    electrode: always(0.05),
    about: "from the end of the feed until the wire is pulled or the arc is cut",
    needs: "wire",
    also: "burn_back_time",
  },
  retract: {
    place: "stop",
    unit: "mm",
    cold: always(5),
    electrode: always(0),
    about: "wire pulled back out of the pool",
    needs: "wire",
  },
  down_slope: {
    place: "stop",
    unit: "s",
    cold: always(4),
    electrode: always(0),
    about: "from the setting down to the end current",
    needs: "arc",
  },
  end_current: {
    place: "stop",
    unit: "A",
    cold: always(20),
    about: "where slopes begin and end",
    needs: "arc",
  },
  post_flow: {
    place: "stop",
    unit: "s",
    cold: postFlow,
    electrode: postFlow,
    about: "gas after the arc, over the hot end and the tungsten",
  },
} as const satisfies Readonly<Record<string, SequenceRow>>;

export type SequenceName = keyof typeof rows;

/** Names a study may give the numbers of its starts and stops, under rig.settings or as factors. */
export const sequenceNames = Object.keys(rows) as readonly SequenceName[];

/** Whether a setting is a number of the start or stop. */
export const isSequenceName = (name: string): boolean =>
  Object.entries<SequenceRow>(rows).some(([own, { also }]) => name === own || name === also);

/**
 * Start and stop of an arc: numbers of the study where it tells them, else usual ones that say so.
 *
 * @param process - ISO 4063 number
 * @param options.wire - whether a wire is fed
 * @param options.settings - what a coupon or preset sets, by name
 * @param options.rig - what the rig holds, by name
 * @throws {BeadbenchError} `bad-study` for one in a wrong unit, below 0 or no number
 */
export function startAndStop(
  process: string,
  {
    wire,
    settings,
    rig,
  }: {
    readonly wire: boolean;
    readonly settings: Readonly<Record<string, Quantity>>;
    readonly rig: Readonly<Record<string, Quantity>>;
  },
): StartStop {
  const facts = processFacts(processOf(process));
  const arc = facts.heat.source === "arc";
  const current = ownValue({ ...rig, ...settings }, "current")?.value;
  const steps = Object.entries<SequenceRow>(rows).flatMap(
    ([name, row]): readonly (SequenceStep & Placed)[] => {
      if ((row.needs === "wire" && !wire) || (row.needs === "arc" && !arc)) return [];
      const find = (from: Readonly<Record<string, Quantity>>): Quantity | undefined =>
        ownValue(from, name) ?? (row.also === undefined ? undefined : ownValue(from, row.also));
      const [set, held] = [find(settings), find(rig)];
      const told = set ?? held;
      const { place, unit, about } = row;
      if (told !== undefined)
        return [
          {
            place,
            name: name as SequenceName,
            value: read(name, told, unit),
            unit,
            origin: set === undefined ? "rig" : "setting",
            note: about,
          },
        ];
      const usual = row[facts.wire];
      if (usual === undefined) return [];
      return [
        {
          place,
          name: name as SequenceName,
          value: usual(current),
          unit,
          origin: "assumed",
          note: `${about}; common practice, no source`,
        },
      ];
    },
  );
  const at = (wanted: keyof StartStop): readonly SequenceStep[] =>
    steps.flatMap(({ place, ...step }) => (place === wanted ? [step] : []));
  return { start: at("start"), stop: at("stop") };
}

interface Placed {
  readonly place: keyof StartStop;
}

function read(name: string, { value, unit }: Quantity, wanted: string): number {
  if (!sameDimension(unit, wanted))
    throw new BeadbenchError(
      "bad-study",
      `study.json: "${name}" is a number of the start or stop in ${wanted}; write one of ${unitsLike(wanted).join(", ")}, got ${value} ${unit}`,
    );
  return requireNumber(name, convert(value, unit, wanted), { min: 0, max: 3600, unit: wanted });
}
