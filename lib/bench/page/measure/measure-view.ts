import type { PhotoScale, Point } from "../../../photo/index.js";
import type { BenchDay, BenchTask } from "../../wire/index.js";
import { button, fill, freshId, h } from "../dom.js";
import { say, submit } from "../state.js";
import { openToday } from "../today.js";
import { edgeMarks, type KnownSize, type Mark, type MeasureKind, scaleMarks, scaleOf } from "./marks.js";
import { makePicture } from "./picture.js";
import { asKept, errorParts, findingNote, findingOf, type PhotoFinding, withError, Z95 } from "./reading.js";
import { makeTarget } from "./target.js";

const kinds = [
  ["width", "Bead from above: width"],
  ["height", "Wall from the side: height"],
  ["outline", "Section: outline and area"],
] as const satisfies readonly (readonly [MeasureKind, string])[];

const scales = [
  ["length", "Known length (taken square on)"],
  ["rectangle", "Known rectangle (mends a tilt)"],
] as const satisfies readonly (readonly [PhotoScale["kind"], string])[];

/** Measures a bead on a photo and logs it with the photo. */
export function measureView({
  day,
  coupon,
  close,
}: {
  readonly day: BenchDay;
  readonly coupon: string | undefined;
  /** Called with the coupon whose values were logged, to go on with it. */
  readonly close: (logged?: string) => void;
}): HTMLElement {
  let photo: Blob | undefined;
  let size: Point | undefined;
  let kind: MeasureKind = "width";
  let scale: PhotoScale["kind"] = "length";
  let marks: Mark[] = [];
  let found: PhotoFinding | undefined;
  const picture = makePicture(read, (at) => {
    if (kind === "outline") trace(at);
  });
  const result = h("div", { class: "found", role: "status" });
  const fault = h("p", { class: "fault", role: "alert", hidden: true });
  const sides = { width: number("50", read), height: number("30", read), sd: number("0.1", read) };
  const clicks = number("3", read);
  const stations = number("3", read);
  const target = makeTarget(day, coupon);
  const known = h("div", { class: "fields" });
  const extra = h("div", { class: "fields" });
  const work = h("div", { hidden: true });
  const choose = h("input", {
    id: freshId("picture"),
    type: "file",
    accept: "image/jpeg,image/png,image/webp",
  });
  choose.addEventListener("change", () => void load(choose.files?.[0]));

  async function load(file: File | undefined): Promise<void> {
    if (file === undefined) return;
    work.hidden = false;
    try {
      size = await picture.load(file);
    } catch {
      work.hidden = true;
      tell("This file is no picture that the browser can show: take a JPEG, PNG or WebP.");
      return;
    }
    photo = file;
    tell();
    begin();
  }

  /** Lays the points out anew, keeping those of the scale where its kind stayed. */
  function begin(keepScale = false): void {
    if (size === undefined) return;
    const own = keepScale ? marks.filter(({ group }) => group === "scale") : scaleMarks(scale, size);
    marks = [...own, ...edgeMarks(kind, size)];
    target.show(kind === "outline" ? "area" : "length");
    fill(
      known,
      field(scale === "length" ? "Known length, mm" : "Width, mm", sides.width),
      scale === "rectangle" && field("Height, mm", sides.height),
      field("Known to within ± mm", sides.sd),
      field("Points set to within ± px", clicks),
    );
    fill(extra, ...(kind === "outline" ? outlineTools() : [field("Stations", stations)]));
    picture.show(marks);
    read();
  }

  function outlineTools(): readonly HTMLElement[] {
    return [
      h("p", { class: "hint" }, "Tap round the outline, point by point, more where it curves."),
      h(
        "div",
        { class: "row" },
        button({ tap: () => trace({ x: size!.x / 2, y: size!.y / 2 }) }, "Add a point"),
        button({ tap: () => trace(undefined) }, "Take the last point back"),
      ),
    ];
  }

  function trace(at: Point | undefined): void {
    const count = marks.filter(({ group }) => group === "outline").length;
    if (at !== undefined) marks.push({ label: `Outline, point ${count + 1}`, group: "outline", at });
    else if (count > 0) marks.pop();
    picture.show(marks);
    read();
  }

  function sizes(): KnownSize & { readonly click: number } {
    const value = (input: HTMLInputElement): number => Number(input.value.replace(",", "."));
    return {
      width: value(sides.width),
      height: value(sides.height),
      sd: value(sides.sd) / Z95,
      click: value(clicks) / Z95,
    };
  }

  function read(): void {
    if (size === undefined) return;
    found = undefined;
    const { click, ...own } = sizes();
    try {
      const reading = { scale: scaleOf(scale, marks, own), clickSd: click };
      found = findingOf({ kind, marks, reading, stations: Number(stations.value) });
    } catch (error) {
      fill(result, h("p", { class: "hint" }, (error as Error).message));
      return;
    }
    const { measures, mean, unit } = found;
    fill(
      result,
      h(
        "ol",
        {},
        ...measures.map((measure, k) =>
          h(
            "li",
            {},
            measures.length > 1 && `Station ${k + 1}: `,
            h("strong", {}, `${withError(measure)} ${unit}`),
          ),
        ),
      ),
      mean !== undefined && h("p", {}, `Mean ${withError(mean)} ${unit}`),
      h(
        "p",
        { class: "hint" },
        `95 %: ${errorParts(mean ?? measures[0]!)}. Not in it: a scale nearer or farther than the edge, a bent lens.`,
      ),
    );
  }

  function how(): string {
    const length = scale === "length" ? sides.width.value : `${sides.width.value} x ${sides.height.value}`;
    const by = scale === "length" ? "two points" : "four corners";
    return `scale ${length} mm ± ${sides.sd.value} mm by ${by}, points set to within ± ${clicks.value} px`;
  }

  async function log(): Promise<void> {
    tell();
    const wanted = target.chosen();
    if (photo === undefined || found === undefined || wanted === undefined) {
      tell(
        photo === undefined
          ? "Choose a photo first."
          : "Set the points first, then the coupon and what was measured.",
      );
      return;
    }
    const note = findingNote(found, how());
    const values = found.measures.map(asKept);
    const own = {
      coupon: wanted.coupon,
      values: {
        ...(wanted.planned === undefined ? {} : openToday(day, wanted.planned)),
        ...(values.length === 1 ? { [wanted.column]: values[0]! } : {}),
      },
      readings: values.length === 1 ? {} : { [wanted.column]: values },
      units: { [wanted.column]: found.unit },
    };
    const task: BenchTask = wanted.corrects
      ? { kind: "correction", reason: note, ...own }
      : { kind: "coupon", note, ...own };
    const { id, outcome } = await submit(task, { photo, photoNote: note });
    if (outcome.kind === "refused") {
      target.look();
      tell([outcome.refusal.message, ...outcome.refusal.faults.map(({ message }) => message)].join(" "));
      return;
    }
    say({
      text: `${wanted.coupon}: ${wanted.column} from the photo ${outcome.kind === "written" ? "is in the journal" : "is kept on this device"}.`,
      warnings: outcome.kind === "written" ? outcome.receipt.warnings.map(({ message }) => message) : [],
      ...(wanted.corrects ? {} : { undo: id }),
    });
    close(wanted.coupon);
  }

  function tell(text = ""): void {
    fault.textContent = text;
    fault.hidden = text === "";
  }

  work.append(
    choice("What is measured?", kinds, kind, (value) => {
      kind = value;
      begin(true);
    }),
    choice("Scale", scales, scale, (value) => {
      scale = value;
      begin();
    }),
    known,
    picture.element,
    extra,
    result,
    target.element,
    button({ class: "go", tap: () => void log() }, "Log it with the photo"),
  );
  return h(
    "section",
    { class: "measure", "aria-labelledby": "measure" },
    h("h2", { id: "measure" }, "Measure from a photo"),
    h(
      "p",
      { class: "hint" },
      "Lay a rule, or a rectangle of known size, beside what is measured and at its height. You set every point; nothing is recognised by itself.",
    ),
    h("label", { for: choose.id }, "Photo"),
    choose,
    work,
    fault,
    button({ class: "quiet", tap: () => close() }, "Back to the coupons"),
  );
}

function number(value: string, changed: () => void): HTMLInputElement {
  const input = h("input", { id: freshId("number"), inputmode: "decimal", autocomplete: "off", value });
  input.addEventListener("input", changed);
  return input;
}

const field = (label: string, input: HTMLInputElement): HTMLElement =>
  h("div", {}, h("label", { for: input.id }, label), input);

function choice<T extends string>(
  legend: string,
  options: readonly (readonly [T, string])[],
  ...[first, chosen]: readonly [T, (value: T) => void]
): HTMLElement {
  const group = freshId("choice");
  return h(
    "fieldset",
    { class: "choices" },
    h("legend", {}, legend),
    ...options.map(([value, text]) => {
      const radio = h("input", { type: "radio", name: group, value, checked: value === first });
      radio.addEventListener("change", () => chosen(value));
      return h("label", { class: "choice" }, radio, text);
    }),
  );
}
