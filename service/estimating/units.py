"""Sizes that the trade names in inches, and the inch in metres."""

METRES_PER_INCH = 0.0254
"""Exact since 1959 (international yard and pound agreement)."""

SIZE_CLASSES = (5, 10, 11, 12, 16, 18, 24, 36)
"""Nominal diameters of round balloons [in]."""
