export { mapAbout, mapLegend, mapSvg } from "./chance-map.js";
export { type ExplorerData, explorerData } from "./explorer-data.js";
export { explorerHtml } from "./explorer-html.js";
export { explorerStyle } from "./explorer-style.js";
export { packData, unpackData } from "./pack.js";
export { readPageScript } from "./page-script.js";
export { headline, predictionRows, warningItems } from "./readout.js";
export { sliceSvg, slicesThrough } from "./slices.js";
export { settingOn, whereText } from "./words.js";
