import { errorFromIssues, jsonLine, onlyDefined } from "../../errors/index.js";
import { readShape, shapeIssue } from "../shape/index.js";
import { completeDefinition } from "./complete-definition.js";
import type { StudyDefinition } from "./definition.js";
import { studyShape } from "./study-shape.js";

/**
 * Reads a study definition from parsed JSON, fills defaults and completes factors.
 * Every fault is listed with its JSON path, the value found and how to mend it; an unknown field is a fault.
 *
 * @param json - what JSON.parse gave
 * @param file - name shown in messages
 * @param text - the text it was read from, for the lines of faults
 * @throws {BeadbenchError} `bad-study`, with all faults in `details.issues`
 */
export function parseStudyDefinition(json: unknown, file?: string, text?: string): StudyDefinition {
  const read = readShape(studyShape, json);
  const result = "value" in read ? completeDefinition(read.value) : { issues: read.faults.map(shapeIssue) };
  if ("definition" in result) return result.definition;
  const issues = result.issues.map((issue) => ({
    ...onlyDefined({ file }),
    ...(text === undefined ? {} : { line: jsonLine(text, pathOf(issue.column)) }),
    ...issue,
  }));
  throw errorFromIssues("bad-study", `the study definition has ${countFaults(issues.length)}:`, issues);
}

/** Keys and positions of a path such as `factors[2].low`. */
const pathOf = (column = ""): readonly string[] => column.split(/[.[\]]+/).filter((key) => key !== "");

const countFaults = (n: number): string => (n === 1 ? "a fault" : `${n} faults`);
