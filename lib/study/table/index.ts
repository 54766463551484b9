export { couponTable, type ResponseSummary, summariseResponses } from "./coupon-table.js";
