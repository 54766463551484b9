import { ownValue } from "../../errors/index.js";
import type { BenchCoupon, BenchFactor, BenchSetting } from "../wire/index.js";
import { button, fill, freshId, h } from "./dom.js";

/** The settings of a coupon set large, each of which may be told otherwise as it was really run. */
export interface Settings {
  readonly element: HTMLElement;
  /** Those that were run otherwise. */
  values(): Readonly<Record<string, number | string>>;
  fault(name: string, message: string): boolean;
  clearFaults(): void;
}

interface Tile {
  readonly name: string;
  readonly fault: HTMLElement;
  /** There once the setting is told otherwise. */
  field?: HTMLInputElement | HTMLSelectElement;
}

/** Tiles of settings, with what was run otherwise; "ran otherwise" turns them into fields. */
export function makeSettings(
  factors: readonly BenchFactor[],
  coupon: BenchCoupon,
  before: Readonly<Record<string, number | string>> = {},
): Settings {
  const tiles: Tile[] = [];
  const grid = h(
    "dl",
    { class: "settings" },
    ...factors.map((factor) => {
      const planned = coupon.settings.find(({ name }) => name === factor.name);
      const tile: Tile = {
        name: factor.name,
        fault: h("p", { class: "fault", id: freshId("fault"), hidden: true }),
      };
      tiles.push(tile);
      const shown = h("dd", { "data-setting": factor.name }, large(planned));
      return h("div", { class: "setting" }, h("dt", {}, factor.label), shown);
    }),
  );
  const faults = h("div", {}, ...tiles.map(({ fault }) => fault));
  const otherwise = button(
    {
      class: "quiet",
      tap: () => {
        openFields();
        tiles[0]?.field?.focus();
      },
    },
    "Ran otherwise",
  );

  function openFields(): void {
    otherwise.hidden = true;
    factors.forEach((factor, k) => {
      const tile = tiles[k]!;
      tile.field = fieldOf(factor, tile.fault.id);
      fill(
        grid.children[k]!.querySelector("dd")!,
        large(coupon.settings.find(({ name }) => name === factor.name)),
        tile.field,
      );
      tile.field.value = String(ownValue(before, factor.name) ?? "");
    });
  }
  if (Object.keys(before).length > 0) openFields();

  return {
    element: h("div", {}, grid, faults, otherwise),
    values: () =>
      Object.fromEntries(
        tiles.flatMap(({ name, field }) => {
          const text = field?.value.trim() ?? "";
          if (text === "") return [];
          const number = Number(text.replace(",", "."));
          return [[name, field instanceof HTMLSelectElement || Number.isNaN(number) ? text : number]];
        }),
      ),
    fault(name, message) {
      const tile = tiles.find((one) => one.name === name);
      if (tile === undefined) return false;
      tile.fault.textContent = message;
      tile.fault.hidden = false;
      tile.field?.setAttribute("aria-invalid", "true");
      return true;
    },
    clearFaults() {
      for (const { fault, field } of tiles) {
        fault.hidden = true;
        field?.removeAttribute("aria-invalid");
      }
    },
  };
}

/** A setting to be read through a visor: the number large, its unit beside it. */
function large(setting: BenchSetting | undefined): HTMLElement {
  if (setting === undefined) return h("strong", {}, "not set");
  const { text, unit } = setting;
  if (unit === "1" || !text.endsWith(` ${unit}`)) return h("strong", {}, text);
  return h("strong", {}, text.slice(0, -unit.length), h("small", {}, unit));
}

function fieldOf({ label, unit, levels }: BenchFactor, fault: string): HTMLInputElement | HTMLSelectElement {
  const name = `${label} as run${unit === "1" ? "" : `, ${unit}`}`;
  if (levels === undefined)
    return h("input", {
      inputmode: "decimal",
      autocomplete: "off",
      "aria-label": name,
      "aria-describedby": fault,
      placeholder: "as run",
    });
  return h(
    "select",
    { "aria-label": name, "aria-describedby": fault },
    h("option", { value: "" }, "as planned"),
    ...levels.map((level) => h("option", { value: level }, level)),
  );
}
