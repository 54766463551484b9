export { nearestName, suggestion } from "./nearest-name.js";
export {
  anyOf,
  changed,
  list,
  nothing,
  number,
  object,
  oneOf,
  optional,
  otherwise,
  readShape,
  record,
  type Shape,
  type Shaped,
  type ShapeFault,
  text,
  truth,
  where,
} from "./shape.js";
export { shapeIssue } from "./shape-issue.js";
