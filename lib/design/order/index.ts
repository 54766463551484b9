export { controlSettings, numberRuns } from "./number-runs.js";
export { driftRobustOrder } from "./order-of-work.js";
export { cutSessions, runsBesideControls, type Slot } from "./sessions.js";
export { settleOrder } from "./settle-order.js";
