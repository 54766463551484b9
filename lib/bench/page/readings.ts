import { ownValue } from "../../errors/index.js";
import {
  fieldText,
  fieldValue,
  isFar,
  isWhole,
  keyOf,
  keysFor,
  type PadField,
  type PadKey,
  type PadRange,
  press,
} from "../pad/index.js";
import { fill, freshId, h, key } from "./dom.js";
import { makePad } from "./pad-view.js";

/** Something numbers are typed for: a response at its stations, or a setting that was run otherwise. */
export interface ReadingColumn {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  readonly decimals: number;
  readonly stations: number;
  readonly signed: boolean;
  /** What is good, or what was planned, in words. */
  readonly hint: string;
  readonly range?: PadRange;
  /** The range in words; empty where nothing is expected. */
  readonly expected: string;
}

interface Box {
  readonly column: ReadingColumn;
  readonly station: number;
  readonly input: HTMLInputElement;
  field: PadField;
}

interface Row {
  readonly column: ReadingColumn;
  readonly boxes: Box[];
  readonly list: HTMLElement;
  readonly more: HTMLButtonElement;
  readonly fault: HTMLElement;
}

/** Rows of fields with the pad that types into them. */
export interface Readings {
  readonly element: HTMLElement;
  /** The readings typed, by column. */
  values(): Readonly<Record<string, readonly number[]>>;
  /** Tells what is wrong with a column; says whether it is one of these. */
  fault(name: string, message: string): boolean;
  clearFaults(): void;
  /** Opens the pad at the first field. */
  begin(): void;
}

const MOST_STATIONS = 12;
const MOST_DECIMALS = 3;

/** Fields for some columns, with what was typed before; `done` is called after the last one. */
export function makeReadings(
  columns: readonly ReadingColumn[],
  done: () => void,
  before: Readonly<Record<string, readonly number[]>> = {},
): Readings {
  let active: Box | undefined;
  const rows = columns.map(makeRow);
  const boxes = (): readonly Box[] => rows.flatMap((row) => row.boxes);

  const pad = makePad({
    press: type,
    next: () => go(1),
    skip: () => {
      const row = rows.findIndex(({ column }) => column === active?.column);
      open(rows[row + 1]?.boxes[0]);
    },
    same: () => {
      const last = lastTyped();
      if (active === undefined || last === undefined) return;
      set(active, { keys: last, decimals: active.field.decimals });
      go(1);
    },
    decimals: () => {
      if (active === undefined) return;
      const row = rows.find(({ column }) => column === active?.column)!;
      const decimals = (active.field.decimals + 1) % (MOST_DECIMALS + 1);
      for (const box of row.boxes) set(box, { ...box.field, decimals });
      show();
    },
  });

  function makeRow(column: ReadingColumn): Row {
    const fault = h("p", { class: "fault", id: freshId("fault"), hidden: true });
    const list = h("div", { class: "boxes" });
    const more = key(
      { class: "more", "aria-label": `One more station for ${column.label}`, tap: () => open(add()) },
      "+",
    );
    const row: Row = { column, boxes: [], list, more, fault };
    const add = (): Box => {
      const box = makeBox(row);
      row.boxes.push(box);
      fill(
        list,
        ...row.boxes.map(({ input }) => input),
        row.boxes.length < MOST_STATIONS && column.stations > 1 && more,
      );
      return box;
    };
    const typed = ownValue(before, column.name) ?? [];
    for (let k = 0; k < Math.max(column.stations, typed.length); k++) add();
    typed.forEach((value, k) => {
      const box = row.boxes[k]!;
      set(box, { ...box.field, keys: keysFor(value) });
    });
    return row;
  }

  function makeBox({ column, boxes: others, fault }: Row): Box {
    const station = others.length + 1;
    const where = column.stations > 1 ? `, station ${station}` : "";
    const field = { keys: "", decimals: others[0]?.field.decimals ?? column.decimals };
    const input = h("input", {
      class: "box",
      inputmode: "none",
      autocomplete: "off",
      "aria-label": `${column.label}${where}${column.unit === "1" ? "" : `, ${column.unit}`}`,
      "aria-describedby": fault.id,
      "data-column": column.name,
      placeholder: fieldText({ ...field, keys: "0" }),
    });
    const box: Box = { column, station, input, field };
    input.addEventListener("focus", () => {
      if (active !== box) open(box);
    });
    input.addEventListener("beforeinput", (event) => event.preventDefault());
    input.addEventListener("keydown", (event) => {
      const pressed = keyOf(event.key);
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (pressed !== undefined) {
        event.preventDefault();
        type(pressed);
      } else if (event.key === "Enter") {
        event.preventDefault();
        go(1);
      }
    });
    return box;
  }

  function set(box: Box, field: PadField): void {
    box.field = field;
    box.input.value = fieldText(field);
    box.input.placeholder = fieldText({ ...field, keys: "0" });
    const value = fieldValue(field);
    box.input.classList.toggle("far", value !== undefined && isFar(value, box.column.range));
  }

  function type(pressed: PadKey): void {
    if (active === undefined) return;
    const emptied = pressed === "back" && active.field.keys === "";
    set(active, press(active.field, pressed));
    if (emptied) go(-1);
    else if (pressed !== "back" && isWhole(active.field, active.column.range)) go(1);
    else show();
  }

  /** Moves on by fields; beyond the last one the pad closes. */
  function go(by: number): void {
    const all = boxes();
    const next = all[all.indexOf(active!) + by];
    if (by > 0 && next === undefined) {
      open(undefined);
      done();
    } else open(next ?? active);
  }

  function open(box: Box | undefined): void {
    active?.input.classList.remove("open");
    active = box;
    if (box !== undefined) {
      box.input.classList.add("open");
      box.input.focus({ preventScroll: true });
    }
    show();
  }

  /** The reading before the active one, of the same column. */
  function lastTyped(): string | undefined {
    const own = boxes().filter(({ column }) => column === active?.column);
    const before = own.slice(0, own.indexOf(active!)).findLast(({ field }) => field.keys !== "");
    return before?.field.keys;
  }

  function show(): void {
    if (active === undefined) {
      pad.show(undefined);
      return;
    }
    const { column, station, field } = active;
    const row = rows.find((one) => one.column === column)!;
    const where = column.stations > 1 ? ` · station ${station} of ${row.boxes.length}` : "";
    pad.show({
      title: `${column.label}${where}`,
      unit: column.unit,
      signed: column.signed,
      range: column.range,
      expected: column.expected,
      field,
      last: lastTyped(),
    });
  }

  return {
    element: h(
      "div",
      { class: "readings" },
      ...rows.map(({ column, list, fault }) =>
        h(
          "fieldset",
          { class: "reading" },
          h(
            "legend",
            {},
            column.label,
            column.unit !== "1" && h("span", { class: "unit" }, ` ${column.unit}`),
          ),
          h("p", { class: "hint" }, [column.hint, column.expected].filter((text) => text !== "").join(" · ")),
          list,
          fault,
        ),
      ),
      pad.element,
    ),
    values: () =>
      Object.fromEntries(
        rows.flatMap(({ column, boxes: own }) => {
          const typed = own.flatMap(({ field }) => fieldValue(field) ?? []);
          return typed.length === 0 ? [] : [[column.name, typed]];
        }),
      ),
    fault(name, message) {
      const row = rows.find(({ column }) => column.name === name);
      if (row === undefined) return false;
      row.fault.textContent = message;
      row.fault.hidden = false;
      for (const { input } of row.boxes) input.setAttribute("aria-invalid", "true");
      return true;
    },
    clearFaults() {
      for (const { fault, boxes: own } of rows) {
        fault.hidden = true;
        for (const { input } of own) input.removeAttribute("aria-invalid");
      }
    },
    begin: () => open(boxes()[0]),
  };
}
