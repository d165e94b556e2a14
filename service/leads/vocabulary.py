"""The words of the trade in English, marked for the catalogues: one of a thing, and several."""

from collections.abc import Mapping

from service.estimating import (
    AccentKind,
    FloatKind,
    Fullness,
    Ground,
    Pattern,
    Placement,
    Support,
)
from service.leads.speech import msg, msgs

# Nominal diameters [in] the way people tell balloons apart.
SIZES: Mapping[int, str] = {
    5: msg("small (%(size)s\u00a0in)"),
    **dict.fromkeys((10, 11, 12), msg("medium (%(size)s\u00a0in)")),
    **dict.fromkeys((16, 18), msg("large (%(size)s\u00a0in)")),
}

GIANT = msg("giant (%(size)s\u00a0in)")

PHONE = msg("phone")

NAMES: Mapping[Support, tuple[str, str]] = {
    Support.ROUND_TOP_FRAME: msgs("round-top frame", "%(count)s round-top frames"),
    Support.SQUARE_FRAME: msgs("square frame", "%(count)s square frames"),
    Support.HOOP: msgs("hoop", "%(count)s hoops"),
    Support.WALL: msgs("wall garland", "%(count)s wall garlands"),
    Support.DOORWAY: msgs("doorway garland", "%(count)s doorway garlands"),
    Support.STAIRCASE: msgs("staircase garland", "%(count)s staircase garlands"),
    Support.MANTEL: msgs("mantel garland", "%(count)s mantel garlands"),
    Support.TABLE: msgs("table garland", "%(count)s table garlands"),
    Support.CEILING: msgs("ceiling garland", "%(count)s ceiling garlands"),
    Support.FREESTANDING_ARCH: msgs("freestanding arch", "%(count)s freestanding arches"),
    Support.SWAG: msgs("swag", "%(count)s swags"),
    Support.COLUMN: msgs("column", "%(count)s columns"),
}

FULLNESS: Mapping[Fullness, str] = {
    Fullness.AIRY: msg("airy"),
    Fullness.FULL: msg("full"),
    Fullness.LUSH: msg("lush"),
}

PLACEMENTS: Mapping[Placement, str] = {
    Placement.ONE_SIDE: msg("on one side"),
    Placement.CENTRED: msg("in the middle"),
    Placement.CORNER_TO_CORNER: msg("from corner to corner"),
    Placement.ASYMMETRIC: msg("long on one side and short on the other"),
}

PATTERNS: Mapping[Pattern, str] = {
    Pattern.OMBRE: msg("in ombré"),
    Pattern.BLOCKS: msg("in blocks of color"),
    Pattern.STRIPE: msg("striped"),
}

ACCENTS: Mapping[AccentKind, tuple[str, str]] = {
    AccentKind.FLOWERS: msgs("%(count)s stem of flowers", "%(count)s stems of flowers"),
    AccentKind.GREENERY: msgs("%(count)s stem of greenery", "%(count)s stems of greenery"),
    AccentKind.SIGN: msgs("%(count)s sign", "%(count)s signs"),
    AccentKind.RIBBON: msgs("%(count)s ribbon streamer", "%(count)s ribbon streamers"),
    AccentKind.FABRIC_COVER: msgs("%(count)s fabric cover", "%(count)s fabric covers"),
}

# Without a number the usual one is taken.
SOME: Mapping[AccentKind, str] = {
    AccentKind.FLOWERS: msg("flowers"),
    AccentKind.GREENERY: msg("greenery"),
    AccentKind.SIGN: msg("a sign"),
    AccentKind.RIBBON: msg("ribbon"),
    AccentKind.FABRIC_COVER: msg("a fabric cover"),
}

FLOATING: Mapping[FloatKind, tuple[str, str]] = {
    FloatKind.LATEX: msgs(
        "%(count)s helium balloon, %(size)s in latex",
        "%(count)s helium balloons, %(size)s in latex",
    ),
    FloatKind.FOIL_ROUND: msgs(
        "%(count)s helium balloon, %(size)s in round foil",
        "%(count)s helium balloons, %(size)s in round foil",
    ),
    FloatKind.FOIL_HEART: msgs(
        "%(count)s helium balloon, %(size)s in foil heart",
        "%(count)s helium balloons, %(size)s in foil heart",
    ),
    FloatKind.FOIL_STAR: msgs(
        "%(count)s helium balloon, %(size)s in foil star",
        "%(count)s helium balloons, %(size)s in foil star",
    ),
    FloatKind.FOIL_SHAPE: msgs(
        "%(count)s helium balloon, %(size)s in foil shape",
        "%(count)s helium balloons, %(size)s in foil shape",
    ),
}

GROUNDS: Mapping[Ground, str] = {
    Ground.GRASS: msg("on grass"),
    Ground.PAVING: msg("on paving"),
    Ground.TIMBER: msg("on timber"),
    Ground.CARPET: msg("on carpet"),
}

# What is celebrated, as the wire names it.
OCCASIONS: Mapping[str, str] = {
    "birthday": msg("a birthday"),
    "wedding": msg("a wedding"),
    "anniversary": msg("an anniversary"),
    "engagement": msg("an engagement"),
    "graduation": msg("a graduation"),
    "retirement": msg("a retirement"),
    "grand_opening": msg("an opening"),
    "corporate": msg("a company or club event"),
    "religious": msg("a religious celebration"),
    "quinceanera": msg("a quinceañera"),
    "gender_reveal": msg("a gender reveal"),
    "baby_shower": msg("a baby shower"),
    "bridal_shower": msg("a bridal shower"),
    "prom": msg("a prom or school dance"),
    "new_year": msg("New Year"),
    "valentines": msg("Valentine's Day"),
    "holiday": msg("another holiday"),
    "other": msg("something else"),
}
