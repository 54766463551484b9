import { brief } from "../numeric/index.js";
import { type ChartPart, inline, measure } from "./spec.js";
import { colours } from "./theme.js";

/**
 * The lines at which the torch touches and at which the stand-off is too long, dashed and named, mm.
 *
 * @param of - name of the chart, for errors
 * @param title - of the stand-off's axis
 */
export function standoffLimits(
  of: string,
  title: string,
  { touch, tooLong }: { readonly touch: number; readonly tooLong?: number },
): readonly ChartPart[] {
  const limits = [
    { at: touch, label: `touch at ${brief(touch)} mm` },
    ...(tooLong === undefined ? [] : [{ at: tooLong, label: `too long at ${brief(tooLong)} mm` }]),
  ];
  return [
    {
      data: inline(of, "limits", limits),
      mark: { type: "rule", color: colours.alarm.light, strokeWidth: 1.6, strokeDash: [6, 3] },
      encoding: { y: measure("at", title) },
    },
    {
      data: { values: limits },
      mark: { type: "text", align: "left", dx: 6, dy: -7, color: colours.alarm.light },
      encoding: { x: { value: 0 }, y: measure("at", title), text: { field: "label" } },
    },
  ];
}
