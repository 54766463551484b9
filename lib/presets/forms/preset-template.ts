import Mustache, { type TemplateSpans } from "mustache";
import { BeadbenchError, errorFromIssues, type Issue } from "../../errors/index.js";
import { brief } from "../../numeric/index.js";
import { suggestion } from "../../study/shape/index.js";
import { plainText } from "../machine/index.js";
import { doubtMark, type Preset, rigCautions } from "../preset/index.js";
import type { WrittenPreset } from "./lost.js";
import { type PresetRow, presetRows, type RowKind } from "./preset-rows.js";

/** Lists of a template, by the kind of row each holds. */
const lists = {
  settings: "setting",
  held: "held",
  start: "start",
  stop: "stop",
  derived: "derived",
  predicted: "predicted",
  checks: "check",
  chances: "chance",
  limits: "limit",
  materials: "material",
  provenance: "made",
  layers: "layer",
} as const satisfies Readonly<Record<string, RowKind>>;

/** What each row of a list has. */
const rowTags = ["name", "value", "unit", "low", "high", "step", "note"];
/** Single texts and lists of texts. */
const wholeTags = ["mark", "study", "made", "review", "cautions", "findings"];
/** `value` and its like by name: `{{by_name.current.value}}`. */
const BY_NAME = "by_name";

/**
 * A preset through a template of one's own: logic-less tags in double braces. Lists: settings, held, start, stop, derived,
 * predicted, checks, chances, limits, materials, provenance, layers, each of rows with name, value, unit, low, high, step, note;
 * cautions and findings are lists of texts; `by_name.current.value` is one number. Double braces write letters, digits, blanks and
 * . _ + - / only, so that no name can become a command; triple braces write texts as they are, without line ends.
 *
 * The template must hold the cautions, and, for a preset in doubt, `{{mark}}` on every line that comes out.
 *
 * @param file - name of the template, for messages
 * @throws {BeadbenchError} `bad-file` for a tag that is unknown or not closed, by line; `refused` without cautions or marks
 */
export function presetThroughTemplate(
  preset: Preset,
  { template, file = "template" }: { readonly template: string; readonly file?: string },
): WrittenPreset {
  const mark = doubtMark(preset);
  const rows = presetRows(preset);
  const view = viewOf(preset, rows, mark ?? "");
  const used = usedTags(template, { file, view });
  if (!used.has("cautions"))
    throw new BeadbenchError(
      "refused",
      `${file} leaves the safety cautions out: write {{#cautions}}, a line with {{.}}, and {{/cautions}} where a reader sees them`,
    );
  const text = Mustache.render(template, view, {}, { escape: (value) => plainText(String(value)) });
  requireMarks(text, { mark, file });
  const missing = Object.entries(lists).filter(
    ([list, kind]) =>
      !used.has(list) && rows.some((row) => row.kind === kind && !used.has(`${BY_NAME}.${row.name}`)),
  );
  const lost = [
    ...missing.map(([list, kind]) => {
      const names = rows.filter((row) => row.kind === kind && !used.has(`${BY_NAME}.${row.name}`));
      return `${list}: ${[...new Set(names.map(({ name }) => name))].join(", ")}`;
    }),
    ...(used.has("findings") || preset.findings.length === 0 ? [] : ["findings"]),
    "what every setting was tried at, and ranges of settings moved one at a time",
  ];
  return { text, lost };
}

type RowView = Readonly<Record<string, string>>;
type View = Readonly<
  Record<string, string | readonly string[] | readonly RowView[] | Readonly<Record<string, RowView>>>
>;

/** Objects without a prototype, so that a tag called `constructor` is an unknown one. */
const bare = <T>(entries: Iterable<readonly [string, T]>): Readonly<Record<string, T>> =>
  Object.assign(Object.create(null), Object.fromEntries(entries));

/** A text on one line: no line ends or other control characters, which a reader's program might obey. */
const oneLine = (text: string): string => text.replace(/[\p{Cc}\p{Zl}\p{Zp}\p{Bidi_Control}]+/gu, " ");

function viewOf(preset: Preset, rows: readonly PresetRow[], mark: string): View {
  const rowView = (row: PresetRow): RowView =>
    bare(
      rowTags.map((tag) => {
        const value = row[tag as keyof PresetRow];
        return [tag, typeof value === "number" ? brief(value, 12) : oneLine(value ?? "")] as const;
      }),
    );
  return bare<View[string]>([
    ["mark", oneLine(mark)],
    ["study", oneLine(preset.study)],
    ["made", preset.made],
    ["review", preset.review.by],
    ["cautions", rigCautions(preset).map(oneLine)],
    ["findings", preset.findings.map(({ message }) => oneLine(message))],
    ...Object.entries(lists).map(
      ([list, kind]) => [list, rows.filter((row) => row.kind === kind).map(rowView)] as const,
    ),
    [
      BY_NAME,
      bare(rows.filter(({ kind }) => kind !== "layer").map((row) => [row.name, rowView(row)] as const)),
    ],
  ]);
}

/** Every tag of a template; each must be known where it stands. */
function usedTags(
  template: string,
  { file, view }: { readonly file: string; readonly view: View },
): ReadonlySet<string> {
  const used = new Set<string>();
  const issues: Issue[] = [];
  const known = [...wholeTags, ...Object.keys(lists)];
  const names = Object.keys(view[BY_NAME] as Readonly<Record<string, RowView>>);
  const lineAt = (offset: number): number => template.slice(0, offset).split("\n").length;
  const refuse = (offset: number, got: string, message: string): void => {
    issues.push({ file, line: lineAt(offset), message, got });
  };
  const look = (spans: TemplateSpans, within: string | undefined): void => {
    for (const [
      kind,
      tag,
      offset,
      ,
      inner,
    ] of spans as readonly (readonly unknown[])[] as readonly (readonly [
      string,
      string,
      number,
      number,
      TemplateSpans | undefined,
    ])[]) {
      if (kind === "text" || kind === "!" || kind === "=") continue;
      if (kind === ">") {
        refuse(offset, tag, "a part from another file is not read; write it out here");
        continue;
      }
      const [first, name, part] = tag.split(".");
      if (tag === ".") {
        if (within !== "cautions" && within !== "findings")
          refuse(offset, tag, "stands for an entry of cautions or findings, and only inside them");
      } else if (first === BY_NAME) {
        if (name === undefined || !names.includes(name))
          refuse(offset, tag, `is no value of this preset${suggestion(name ?? "", names)}`);
        else if (part === undefined || !rowTags.includes(part))
          refuse(offset, tag, `must end in one of ${rowTags.join(", ")}`);
        else used.add(`${BY_NAME}.${name}`);
      } else if (known.includes(tag)) used.add(tag);
      else if (!(rowTags.includes(tag) && within !== undefined && Object.hasOwn(lists, within)))
        refuse(
          offset,
          tag,
          rowTags.includes(tag)
            ? `stands inside a list such as {{#settings}} only, or behind a name as in {{${BY_NAME}.current.${tag}}}`
            : `is no tag known here${suggestion(tag, [...known, ...rowTags])}; known are ${known.join(", ")}, ${BY_NAME}`,
        );
      if (inner !== undefined)
        look(inner, Object.hasOwn(lists, tag) || wholeTags.includes(tag) ? tag : within);
    }
  };
  look(parsed(template, file), undefined);
  if (issues.length > 0) throw errorFromIssues("bad-file", `${file} cannot be filled in:`, issues);
  return used;
}

function parsed(template: string, file: string): TemplateSpans {
  try {
    return Mustache.parse(template);
  } catch (error) {
    // The parser says where as "at 123", an offset.
    const message = (error as Error).message;
    const at = /at (\d+)$/.exec(message);
    const line = template.slice(0, Number(at?.[1] ?? 0)).split("\n").length;
    throw errorFromIssues("bad-file", `${file} cannot be filled in:`, [
      { file, line, message: `a tag is open or closed amiss (${message.replace(/ at \d+$/, "")})` },
    ]);
  }
}

/** Holds a template of a preset in doubt to its marks. */
function requireMarks(
  text: string,
  { mark, file }: { readonly mark: string | undefined; readonly file: string },
): void {
  if (mark === undefined) return;
  const marks = [oneLine(mark), plainText(mark)];
  const bare = text
    .split(/\r\n|[\n\r\u2028\u2029]/)
    .findIndex((line) => line.trim() !== "" && !marks.some((one) => line.includes(one)));
  if (bare >= 0)
    throw new BeadbenchError(
      "refused",
      `${file}: this preset is unproven, and line ${bare + 1} of what the template makes does not say so: write {{mark}} on every line; it is empty for a proven preset`,
    );
}
