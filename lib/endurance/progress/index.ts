export {
  type BuildProgress,
  type BuildReading,
  buildProgress,
  plannedRunning,
  requireAttempt,
} from "./build-progress.js";
