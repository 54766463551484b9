export { createDemoStudy, demoDefinition, demoEvents } from "./demo-study.js";
export { applyEvent, parseEvents, type StudyEvent } from "./event-script.js";
export { scratchFolder } from "./scratch-folder.js";
