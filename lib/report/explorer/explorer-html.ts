import { escapeMarkup, printedUnit } from "../../charts/index.js";
import type { Axis } from "../../design/index.js";
import { ownValue } from "../../errors/index.js";
import { inWords, sentence, settingDigits } from "../../numeric/index.js";
import { makeExplorer } from "../../window/index.js";
import type { ExplorerData } from "./explorer-data.js";
import { packData } from "./pack.js";
import { axisChoices } from "./words.js";

/**
 * The explorer's part of a page: controls, and room for what the page's script fills in. It is hidden until the script
 * runs, which without scripts and on paper it never does: pictures that stand still belong beside it.
 */
export function explorerHtml(data: ExplorerData): string {
  const { axes } = makeExplorer(data.model);
  const numeric = axes.flatMap((axis, j) => (axis.category ? [] : [{ axis, j }]));
  return [
    '<div class="explorer" id="explorer" hidden>',
    '<form class="controls" aria-label="Settings to try" autocomplete="off">',
    ...axes.map((axis, j) => control(axis, j, ownValue(data.start, axis.name)!)),
    '<p><button type="button" id="explorer-back">Back to the recommended setting</button></p>',
    "</form>",
    '<div class="readout">',
    '<div class="headline" id="explorer-chance" role="status"></div>',
    '<ul class="findings" id="explorer-where" aria-label="Where the setting lies"></ul>',
    '<div class="scroll" tabindex="0" role="group" aria-label="Predicted at these settings">',
    "<table>",
    "<caption>Predicted at these settings</caption>",
    '<thead><tr><th scope="col">Result</th><th scope="col" class="numeric">Median</th><th scope="col" class="numeric">95 % of coupons</th><th scope="col" class="numeric">Chance</th></tr></thead>',
    '<tbody id="explorer-rows"></tbody>',
    "</table>",
    "</div>",
    "</div>",
    ...(numeric.length === 0
      ? []
      : [
          '<figure class="along">',
          '<div class="plots" id="explorer-slices"></div>',
          "<figcaption>The chance to be good along each setting, the others as chosen. Dot: where you are; dashed: the level of the window; grey: no coupon was run there.</figcaption>",
          "</figure>",
        ]),
    ...(data.map === undefined ? [] : [mapRoom(numeric, data.map)]),
    "</div>",
    `<script type="application/json" id="explorer-data">${packData(data)}</script>`,
  ].join("\n");
}

function control(axis: Axis, j: number, start: number | string): string {
  const { name, unit, category, values } = axis;
  const words = escapeMarkup(sentence(inWords(name)));
  const id = `explorer-${j}`;
  const choices = `<span class="choices" id="${id}-choices">${escapeMarkup(axisChoices(axis))}</span>`;
  if (category) {
    const options = values.map(
      (value, k) =>
        `<option value="${k}"${value === start ? " selected" : ""}>${escapeMarkup(String(value))}</option>`,
    );
    return `<div class="control"><label for="${id}">${words}</label><select id="${id}" data-axis="${j}">${options.join("")}</select></div>`;
  }
  const measure = escapeMarkup(printedUnit(unit));
  return [
    '<div class="control">',
    `<label for="${id}">${words}</label>${choices}`,
    `<input type="range" id="${id}" data-axis="${j}" min="0" max="${values.length - 1}" step="1" aria-describedby="${id}-choices">`,
    `<span class="typed"><input type="number" id="${id}-number" data-axis="${j}" min="${axis.low}" max="${axis.high}" step="any" inputmode="decimal" value="${settingDigits(Number(start))}" aria-label="${words}${measure === "" ? "" : ` in ${measure}`}" aria-describedby="${id}-fault"> <span class="unit">${measure}</span></span>`,
    `<p class="fault" id="${id}-fault" role="alert"></p>`,
    "</div>",
  ].join("");
}

function mapRoom(
  numeric: readonly { readonly axis: Axis; readonly j: number }[],
  [x, y]: readonly [string, string],
): string {
  const choice = (id: string, label: string, chosen: string): string => {
    const options = numeric.map(
      ({ axis: { name }, j }) =>
        `<option value="${j}"${name === chosen ? " selected" : ""}>${escapeMarkup(sentence(inWords(name)))}</option>`,
    );
    return `<label for="${id}">${label}</label> <select id="${id}">${options.join("")}</select>`;
  };
  return [
    '<figure class="over">',
    `<p class="choice">${choice("explorer-x", "Across", x)} ${choice("explorer-y", "Up", y)}</p>`,
    '<div id="explorer-map"></div>',
    '<ul class="legend" id="explorer-legend" aria-label="Chance to be good"></ul>',
    "<figcaption>The chance over two settings, the others as chosen. Yellow diamond: where you are; line: the level of the window; discs: coupons passed, crosses: failed, also those run at other values of the settings held.</figcaption>",
    "</figure>",
  ].join("\n");
}
