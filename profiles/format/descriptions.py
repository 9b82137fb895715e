"""What each key of the profile means, with its unit and its frame: the text of its JSON Schema.

Frames: the tablet as built (origin at the top left of the active area, x right, y down) and the
desktop (origin at the top left of the primary display, x right, y down, device pixels).
"""

from __future__ import annotations

#: By part of the document and key.
DESCRIPTIONS: dict[str, dict[str, str]] = {
    "Profile": {
        "evenstroke": "Number of the profile's format.",
        "workstation": "Name of the workstation, as its owner calls it.",
        "note": "What was noted about it.",
        "revision": "Which revision of the library this is; absent in a file that was not kept.",
        "tablet": "The tablet as built, and how it lies on the desk.",
        "displays": "The displays of the desktop; the first at 0, 0 px is the primary one.",
        "seat": "Where the person sits, in mm and degrees from the eyes.",
        "map": "What was asked of the map.",
        "entry": "The form of this person's tablet settings, in which the rectangle is entered.",
        "area": "The rectangle of the tablet to enter, as built, in every unit.",
        "screen": "The rectangle of the desktop that the pen reaches, in device pixels.",
        "summary": "The figures of the map as a whole.",
        "figures": "The figures on each display that the pen reaches.",
        "matrix": "The map as a matrix, from the tablet as built to the desktop.",
        "unturned": "The area for tablet settings that cannot turn it, as built, where the tablet "
        "lies askew.",
        "before_rounding": "The exact area, as built, where the step changed it.",
    },
    "RevisionPart": {
        "number": "Number of the revision, from 1.",
        "kept": "When it was kept: date and time in UTC, to the second.",
        "note": "Why it was kept.",
    },
    "TabletPart": {
        "label": "What the tablet is called.",
        "width_mm": "Width of the active area as built, in mm.",
        "height_mm": "Height of the active area as built, in mm.",
        "counts_per_mm": "Resolution in device counts per mm.",
        "counts_per_in": "Resolution in device counts per inch, where it was described so.",
        "turn_deg": "Rotation that is set in the tablet settings, in degrees clockwise from the "
        "tablet as built.",
        "slant_deg": "How far the tablet lies askew beyond that turn, in degrees clockwise.",
    },
    "DisplayPart": {
        "label": "What the display is called; each label stands once.",
        "diagonal_in": "Diagonal of the picture in inches, with square pixels.",
        "diagonal_mm": "Diagonal of the picture in mm, with square pixels.",
        "width_mm": "Width of the picture in mm.",
        "height_mm": "Height of the picture in mm.",
        "width_px": "Width in device pixels.",
        "height_px": "Height in device pixels.",
        "left_px": "Left edge on the desktop, in device pixels; negative left of the primary "
        "display.",
        "top_px": "Top edge on the desktop, in device pixels; negative above the primary display.",
        "zoom": "Device pixels that make one logical pixel, along each side; 1 where absent.",
        "bezel_mm": "Width of the frame around the picture, in mm.",
        "circles_round": "True on the display on which shapes are to be true, where the pen "
        "reaches several; the main one, or else the first, where none is marked.",
    },
    "SeatPart": {
        "distance_mm": "From the eyes to the middle of the main display, in mm.",
        "top_below_eyes_mm": "How far the top of its picture is below the eyes, in mm; negative "
        "where it is above them.",
        "tilt_deg": "How far its top leans away from the person, in degrees; negative where "
        "it leans towards them.",
        "curve_radius_mm": "Radius of its curve in mm; absent where it is flat.",
        "ahead": "Label of the display straight ahead, or middle for the middle of all; the main "
        "one where absent.",
    },
    "MapPart": {
        "fit": "How tablet and target meet: full stretches, locked trims the tablet's area, "
        "cropped trims the target.",
        "hold": "Which part stays where something is trimmed, as the person sees it.",
        "onto": "Labels of the displays that the pen is to reach; at least one. Each must be the "
        "label of a display, which the program checks: JSON Schema cannot compare texts.",
        "window_px": "The window of the desktop to map to, in device pixels.",
        "within": "The part of the active area that may be used, tablet as built, in its own unit.",
        "area": "The area that is set now, tablet as built, in its own unit.",
        "scale": "Wanted scale factor: mm on the display for 1 mm of hand, both ways.",
        "feel": "Wanted hand feel of another workstation.",
        "step": "Step of the tablet settings, to whose multiples the rectangle is rounded.",
    },
    "PlainRect": {
        "left": "Left edge on the desktop, in device pixels.",
        "top": "Top edge on the desktop, in device pixels.",
        "width": "Width in device pixels.",
        "height": "Height in device pixels.",
    },
    "AskedRect": {
        "left": "Left edge from the left of the active area as built, in its unit.",
        "top": "Top edge from the top of the active area as built, in its unit.",
        "width": "Width on the tablet as built, in its unit.",
        "height": "Height on the tablet as built, in its unit.",
        "unit": "Unit of the four numbers; percent is of the active area as built, across of its "
        "width and down of its height.",
    },
    "FeelPart": {
        "of": "Name of the workstation whose hand feel is wanted.",
        "scale_x": "mm on the display for 1 mm of hand across (x as seen).",
        "scale_y": "mm on the display for 1 mm of hand down (y as seen).",
    },
    "StepPart": {
        "size": "Size of the step, in its unit.",
        "unit": "Unit of the step.",
        "shape_tolerance_percent": "How much stretch, in percent, a larger area is worth.",
    },
    "EntryPart": {
        "numbers": "Which four numbers are asked for: corner and size, two opposite corners, or "
        "centre and size.",
        "unit": "Unit of these numbers, tablet as built.",
        "origin": "Corner of the active area as built from which they count; y runs away from it.",
        "decimal": "Decimal sign that is typed.",
    },
    "AreaPart": {
        "frame": "Frame of the rectangle: the tablet as built.",
        "mm": "The rectangle in mm, tablet as built.",
        "inch": "The rectangle in inches of 25.4 mm, tablet as built.",
        "percent": "The rectangle in percent of the active area as built: across of its width, "
        "down of its height.",
        "counts": "The rectangle in device counts, tablet as built, where the resolution is known.",
        "angle_deg": "How far the rectangle is turned about its own centre, in degrees clockwise; "
        "its numbers are those before that turn.",
    },
    "AreaMm": {
        "frame": "Frame of the rectangle: the tablet as built.",
        "mm": "The rectangle in mm, tablet as built.",
    },
    "EdgesPart": {
        "left": "Left edge from the origin of its frame, in the unit of its key.",
        "top": "Top edge from the origin of its frame, y down, in the unit of its key.",
        "right": "Right edge from the origin of its frame, in the unit of its key.",
        "bottom": "Bottom edge from the origin of its frame, y down, in the unit of its key.",
        "width": "Width along x of its frame, in the unit of its key.",
        "height": "Height along y of its frame, in the unit of its key.",
    },
    "ScreenPart": {
        "frame": "Frame of the rectangle: the desktop.",
        "px": "The rectangle in device pixels of the desktop.",
    },
    "Summary": {
        "scale_factor": "Diagonal of the screen part against that of the area, both in mm, on the "
        "display that is to be true; absent where its size is unknown.",
        "area_used_percent": "Share of the active area that is used, in percent.",
        "screen_used_percent": "Share of the wanted displays or window that is reached, in "
        "percent.",
    },
    "FiguresPart": {
        "display": "Label of the display.",
        "scale_x": "mm on the display for 1 mm of hand across (x as seen); absent where its size "
        "is unknown.",
        "scale_y": "mm on the display for 1 mm of hand down (y as seen); absent where its size is "
        "unknown.",
        "stretch": "Longer scale against the shorter one, no unit: 1 where a circle stays round.",
        "oval_percent": "How much wider than tall a circle comes out, in percent; negative where "
        "it is taller.",
        "angle_error_deg": "Largest error of any angle that is drawn, in degrees.",
        "areal_scale": "mm2 on the display for 1 mm2 of hand; absent where its size is unknown.",
        "longer_axis_deg": "Direction of the longer scale on the display, in degrees clockwise "
        "from x; absent where a circle stays round.",
        "tilt_deg": "How far a line drawn level comes out of level, in degrees clockwise on the "
        "display; absent where it stays level.",
        "counts_per_px_x": "Device counts that move the pen by one pixel along x of the screen.",
        "counts_per_px_y": "Device counts that move the pen by one pixel along y of the screen.",
    },
    "MatrixPart": {
        "built_unit_to_desktop_unit": "Homogeneous matrix, row-major, from the active area as "
        "built to the desktop's rectangle, each 0 to 1 from its top left.",
    },
}
