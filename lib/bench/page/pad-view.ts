import { fieldText, isFar, type PadField, type PadKey, type PadRange } from "../pad/index.js";
import { fill, h, key } from "./dom.js";

/** What the pad types into. */
export interface PadTarget {
  /** What is read, where, and in which unit. */
  readonly title: string;
  readonly unit: string;
  readonly signed: boolean;
  readonly range: PadRange | undefined;
  /** The range in words. */
  readonly expected: string;
  readonly field: PadField;
  /** The reading before this one, to be taken over. */
  readonly last: string | undefined;
}

/** What the pad asks for. */
export interface PadActions {
  press(key: PadKey): void;
  next(): void;
  /** On to the next result, leaving stations empty. */
  skip(): void;
  same(): void;
  /** Types one more or fewer decimals without a mark. */
  decimals(): void;
}

/** The number pad: what is typed set large, above keys for gloves. */
export function makePad(actions: PadActions): {
  readonly element: HTMLElement;
  show(target: PadTarget | undefined): void;
} {
  const head = h("div", { class: "pad-head", "aria-hidden": "true" });
  const digit = (name: PadKey): HTMLButtonElement =>
    key({ class: "pad-key", "data-key": name, tap: () => actions.press(name) }, name);
  const word = (text: string, tap: () => void): HTMLButtonElement =>
    key({ class: "pad-key pad-word", tap }, text);
  const same = word("Same as last", actions.same);
  const sign = word("+ / −", () => actions.press("-"));
  const decimals = word("Decimals", actions.decimals);
  const keys = h(
    "div",
    { class: "pad-keys", role: "group", "aria-label": "Number pad" },
    ...["7", "8", "9"].map((name) => digit(name as PadKey)),
    key(
      { class: "pad-key", "aria-label": "Take the last digit back", tap: () => actions.press("back") },
      "⌫",
    ),
    ...["4", "5", "6"].map((name) => digit(name as PadKey)),
    same,
    ...["1", "2", "3"].map((name) => digit(name as PadKey)),
    word("Skip result", actions.skip),
    key({ class: "pad-key", "aria-label": "Decimal mark", tap: () => actions.press(".") }, "."),
    digit("0"),
    decimals,
    key({ class: "pad-key pad-next", tap: actions.next }, "Next"),
    sign,
  );
  const element = h("div", { class: "pad", hidden: true }, head, keys);
  return {
    element,
    show(target) {
      element.hidden = target === undefined;
      if (target === undefined) return;
      const { field, range, unit, title, expected, signed, last } = target;
      const text = fieldText(field);
      const far = text !== "" && isFar(Number(text), range);
      const empty = fieldText({ ...field, keys: "0" });
      fill(
        head,
        h("span", { class: "pad-title" }, title),
        h(
          "span",
          { class: text === "" ? "pad-value pad-empty" : "pad-value" },
          `${text === "" ? empty : text} ${unit === "1" ? "" : unit}`.trim(),
        ),
        h(
          "span",
          { class: far ? "pad-expected pad-far" : "pad-expected" },
          far ? `far from ${expected}: Next, if it is right` : expected,
        ),
      );
      same.disabled = last === undefined;
      sign.hidden = !signed;
      decimals.textContent = `Type ${empty}`;
    },
  };
}
