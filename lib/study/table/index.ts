export { couponTable, type ResponseSummary, summariseResponses } from "./coupon-table.js";
export { groupRows, type RowGroup } from "./group-rows.js";
export { type IncidentTally, incidentTable, tallyIncidents } from "./incident-table.js";
