export { type Attempt, attempts, minutesOf } from "./attempts.js";
export { type Counter, counters } from "./counters.js";
export { couponRunning } from "./coupon-running.js";
export {
  type Ledger,
  type RunRecord,
  runningAt,
  runningInBuild,
  runningLedger,
  type Stretch,
} from "./ledger.js";
export { addRunning, type Running, runningOf, runningSince } from "./running.js";
