export { listed } from "./listed.js";
export { aspectRange, type MassBalance, massBalances, strangeness } from "./mass-balance.js";
export { describeBalance, openBalance } from "./open-balance.js";
export { groupBySettings, type PureError, pureErrors } from "./repeats.js";
