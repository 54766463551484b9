/** Names under which studies measure the size of a bead. */
export const widthNames = ["bead_width", "wall_width", "total_wall_width", "width"] as const;
export const heightNames = ["bead_height", "layer_height", "height"] as const;
export const areaNames = ["bead_area", "area", "section_area"] as const;
