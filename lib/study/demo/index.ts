export {
  createDemoStudy,
  createRingStudy,
  demoDefinition,
  demoEvents,
  type OnEvent,
  ringDefinition,
  ringEvents,
} from "./demo-study.js";
export { applyEvent, parseEvents, type StudyEvent } from "./event-script.js";
export { scratchFolder } from "./scratch-folder.js";
