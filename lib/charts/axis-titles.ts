import { ownValue } from "../errors/index.js";
import { wrapLines } from "./text-width.js";
import { chartConfig } from "./theme.js";

interface Axis {
  readonly orient?: unknown;
  readonly title?: unknown;
  readonly encode?: {
    readonly labels?: {
      readonly update?: {
        readonly text?: { readonly signal?: string };
        readonly dy?: { readonly signal: string };
      };
    };
  };
}

/** What of a compiled drawing is read here: groups with axes inside of each other, and the sizes they take by name. */
interface Group {
  readonly type?: string;
  readonly width?: unknown;
  readonly height?: unknown;
  readonly signals?: readonly { readonly name: string; readonly value?: unknown }[];
  readonly axes?: readonly Axis[];
  readonly marks?: readonly Group[];
  readonly encode?: { readonly update?: Readonly<Record<string, unknown>> };
}

/** Height of a line of a label, as the runtime has it, px. */
const LABEL_LINE = chartConfig.axis.labelFontSize + 2;
/** An axis however short has a title as wide as this, px. */
const SHORTEST = 110;

/** The drawing with titles of axes in lines as long as their axis, where its length is known beforehand, and names centred. */
export function titlesInLines<T extends object>(drawing: T): T {
  const { width, height, signals = [] } = drawing as Group;
  const named = { width, height, ...Object.fromEntries(signals.map(({ name, value }) => [name, value])) };
  return inLines(drawing as Group, { width, height }, named) as T;
}

function inLines(
  group: Group,
  size: { readonly width: unknown; readonly height: unknown },
  named: Readonly<Record<string, unknown>>,
): Group {
  const { axes, marks } = group;
  const lengthOf = (orient: unknown): unknown =>
    orient === "left" || orient === "right" ? size.height : size.width;
  return {
    ...group,
    ...(axes === undefined
      ? {}
      : {
          axes: axes.map((axis) => ({
            ...centred(axis),
            title: titleLines(axis.title, lengthOf(axis.orient)),
          })),
        }),
    ...(marks === undefined
      ? {}
      : {
          marks: marks.map((mark) => {
            if (mark.type !== "group") return mark;
            const update = mark.encode?.update ?? {};
            return inLines(
              mark,
              { width: known(update.width, named), height: known(update.height, named) },
              named,
            );
          }),
        }),
  };
}

/** A size that is written down, itself or as the value of a name. */
function known(size: unknown, named: Readonly<Record<string, unknown>>): unknown {
  const { value, signal } = (size ?? {}) as { readonly value?: unknown; readonly signal?: string };
  return signal === undefined ? value : ownValue(named, signal);
}

/** Names in lines beside an axis stand in the middle of their places, where the runtime has the first line alone do so. */
function centred(axis: Axis): Axis {
  const { update } = axis.encode?.labels ?? {};
  const text = update?.text?.signal;
  if (text === undefined || (axis.orient !== "left" && axis.orient !== "right")) return axis;
  const dy = { signal: `isArray(${text}) ? ${-LABEL_LINE / 2} * (length(${text}) - 1) : 0` };
  return {
    ...axis,
    encode: { ...axis.encode, labels: { ...axis.encode!.labels, update: { ...update, dy } } },
  };
}

function titleLines(title: unknown, length: unknown): unknown {
  if (typeof title !== "string" || typeof length !== "number") return title;
  const lines = wrapLines(title, Math.max(SHORTEST, length), { fontSize: chartConfig.axis.titleFontSize });
  return lines.length === 1 ? title : lines;
}
