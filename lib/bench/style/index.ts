import { baseStyle } from "./base.js";
import { couponStyle } from "./coupon.js";
import { listStyle } from "./lists.js";
import { measureStyle } from "./measure.js";

/** The style sheet of the bench page: from a phone of 390 px to a desk, light and dark. */
export const benchStyle = `${baseStyle}${couponStyle}${listStyle}${measureStyle}`;
