export {
  type Column,
  findColumn,
  isNumeric,
  isPlainNumber,
  LAYER_COLUMN,
  toStudyUnit,
  valueFault,
} from "./column.js";
export { reservedNames } from "./complete-definition.js";
export {
  type Base,
  type Costs,
  type Factor,
  type Gas,
  type Limit,
  type LinearLimit,
  type Quantity,
  type QuantityLimit,
  type Response,
  type Rig,
  type Spec,
  STUDY_SCHEMA,
  type StudyDefinition,
  type Wire,
} from "./definition.js";
export { type ExposureKind, exposureKinds, exposureUnits, isExposureKind } from "./exposure-kinds.js";
export { KNOWN_RULE, type KnownPlace, type KnownSetting, readKnownSetting } from "./known-setting.js";
export { meantColumns } from "./meant-columns.js";
export { asName, isName, NAME_RULE } from "./name-rule.js";
export { parseStudyDefinition } from "./parse-definition.js";
export { type KindRules, kindRules, type ResponseKind, responseKinds } from "./response-kind.js";
export { rangeText, settingsText, settingText } from "./setting-words.js";
export { isAmountName, isDefectName, isSizeName, roleOfWord, tradeName } from "./trade-words.js";
export { wireText } from "./wire-text.js";
export { isJudgement, isYesGood, readVerdict, readYesNo, verdictWord, YES_NO_RULE } from "./yes-no.js";
