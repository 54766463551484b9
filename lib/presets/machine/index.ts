export {
  MACHINE_SCHEMA,
  type MachineMap,
  machineJsonSchema,
  parseMachineMap,
  type SwitchedOutput,
} from "./machine-map.js";
export {
  allOffLines,
  type BeadSwitching,
  endLines,
  mappedSettings,
  type NumberStyle,
  plainNumbers,
  type SwitchLine,
  startLines,
  stopLines,
  unswitched,
} from "./switching.js";
export { commentLines, lineMark, plainText, wordName, wordNumber } from "./words.js";
