import { ownValue } from "../../errors/index.js";
import type { Settings } from "../../models/index.js";
import { settingDigits } from "../../numeric/index.js";
import { makeExplorer, makeTried } from "../../window/index.js";
import {
  type ExplorerData,
  headline,
  predictionRows,
  settingOn,
  unpackData,
  warningItems,
  whereText,
} from "../explorer/index.js";
import { makePictures } from "./pictures.js";

/** An element that the page has. */
export const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;

const data = unpackData(byId("explorer-data").textContent!) as ExplorerData;
const { model, start, level, tried } = data;
const explorer = makeExplorer(model);
const { axes } = explorer;
const whereabouts = makeTried(axes, tried);
const pictures = makePictures({ explorer, level, tried });

let settings: Settings = start;

/** Moves to other settings; what is being typed in is left as it is. */
function move(next: Settings, typing?: Element): void {
  settings = next;
  axes.forEach((axis, j) => {
    const value = ownValue(settings, axis.name)!;
    const control = byId<HTMLInputElement | HTMLSelectElement>(`explorer-${j}`);
    if (axis.category) {
      control.value = String(axis.values.indexOf(value));
      return;
    }
    const place = nearest(axis.values.map(Number), Number(value));
    if (control !== typing) control.value = String(place);
    control.setAttribute("aria-valuetext", settingOn(axis, value));
    const field = byId<HTMLInputElement>(`explorer-${j}-number`);
    if (field !== typing) field.value = settingDigits(Number(value));
    fault(j, "");
  });
  show();
}

function show(): void {
  const explored = explorer.at(settings);
  byId("explorer-chance").innerHTML = headline(explored, model.definition);
  byId("explorer-rows").innerHTML = predictionRows(explored, model.definition);
  const warnings = whereText(whereabouts(settings), explorer.broken(settings), axes);
  byId("explorer-where").innerHTML = warningItems(warnings);
  pictures.show(settings);
}

/** Place of the number nearest to another. */
function nearest(values: readonly number[], wanted: number): number {
  return values.reduce(
    (best, value, i) => (Math.abs(value - wanted) < Math.abs(values[best]! - wanted) ? i : best),
    0,
  );
}

function fault(j: number, text: string): void {
  byId(`explorer-${j}-fault`).textContent = text;
  byId(`explorer-${j}-number`).toggleAttribute("aria-invalid", text !== "");
}

/** A number typed in: taken where the factor's range holds it, refused beside the field where not. */
function typed(j: number, field: HTMLInputElement): void {
  const axis = axes[j]!;
  const value = field.valueAsNumber;
  if (!(value >= axis.low && value <= axis.high)) {
    fault(j, `Needs a number from ${settingDigits(axis.low)} to ${settingOn(axis, axis.high)}.`);
    return;
  }
  const values = axis.values.map(Number);
  const taken = model.definition.factors[j]!.kind === "discrete" ? values[nearest(values, value)]! : value;
  move({ ...settings, [axis.name]: taken }, field);
}

document.documentElement.classList.add("live");
byId("explorer").hidden = false;
axes.forEach((axis, j) => {
  const control = byId<HTMLInputElement | HTMLSelectElement>(`explorer-${j}`);
  control.addEventListener("input", () => {
    move({ ...settings, [axis.name]: axis.values[Number(control.value)]! }, control);
  });
  if (axis.category) return;
  const field = byId<HTMLInputElement>(`explorer-${j}-number`);
  field.addEventListener("input", () => typed(j, field));
});
byId("explorer-back").addEventListener("click", () => move(start));
byId<HTMLFormElement>("explorer")
  .querySelector("form")!
  .addEventListener("submit", (event) => event.preventDefault());
move(start);
