export { measureView } from "./measure-view.js";
