"""What entries of the price book are called on the desk's pages, and what is said beside them."""

import re
from collections.abc import Mapping

UNITS: Mapping[str, str] = {
    "_litres_per_minute": "liters a minute",
    "_minutes_per_piece": "minutes a piece",
    "_minutes_per_ft": "minutes a foot",
    "_per_hour": "an hour",
    "_per_mile": "a mile",
    "_per_ft": "a foot",
    "_percent": "%",
    "_seconds": "seconds",
    "_minutes": "minutes",
    "_hours": "hours",
    "_days": "days",
    "_miles": "miles",
    "_mph": "miles an hour",
    "_ft3": "cubic feet",
    "_ft": "feet",
    "_in": "inches",
    "_lb": "pounds",
    "_f": "°F",
}
"""Units by how names end; the longer endings first."""

_ONE: Mapping[str, str] = {
    "liters": "liter",
    "minutes": "minute",
    "seconds": "second",
    "hours": "hour",
    "days": "day",
    "miles": "mile",
    "feet": "foot",
    "inches": "inch",
    "pounds": "pound",
}
"""Of units that are counted, one."""

# By the place in the book, the numbers of rows and the names of keys left out: the label, and what
# is said beside it. Where there is no label, the name itself is one.
_SAID: Mapping[str, tuple[str, str]] = {
    "shop": ("The shop", ""),
    "shop.postal_code": ("Postal code", "places the shop for distances"),
    "shop.time_zone": ("Time zone", "such as America/New_York"),
    "shop.currency": ("Currency", "three capital letters, such as USD"),
    "shop.locale": ("Language and country", "such as en-US"),
    "shop.contact": ("Contact", "the lines at the foot of every quote, each on a line of its own"),
    "sizes": ("Sizes", "balloons are blown up past this and let back, so that they are round"),
    "sizes.size_class": ("Balloon", "by its size on the bag"),
    "sizes.sized_in": ("Sized to", ""),
    "sizes.sized_outdoors_in": ("Sized to outdoors", "smaller, for sun and heat"),
    "sizes.breakage_percent": ("Burst or fail", ""),
    "sizes.by_hand": ("Sized with a hand pump", ""),
    "sizes.keeps_indoors_hours": ("Looks good indoors for", ""),
    "sizes.keeps_outdoors_hours": ("Looks good outdoors for", ""),
    "recipe": ("The garland", ""),
    "recipe.base_size": ("Size of quads and clusters of six", "by the size on the bag"),
    "recipe.large_size": ("Size of the large one in a cluster of six", ""),
    "recipe.small_size": ("Size of mini quads", ""),
    "recipe.solid_fraction": (
        "How much of its thickness is balloon",
        "0.54 is loose, 0.64 as tight as spheres get; compare a finished job and move it",
    ),
    "recipe.quads_size": ("Size of a column's balloons", ""),
    "recipe.quads_sized_in": ("A column's balloons are sized to", ""),
    "recipe.looks": ("Fullness", ""),
    "recipe.looks.girth_in": ("How thick", ""),
    "recipe.looks.base_step": ("Step between clusters", "1 where quads touch"),
    "recipe.looks.large_percent": ("Clusters with a large balloon", ""),
    "recipe.looks.fill": ("What fills it up", "in which proportion; empty for none"),
    "colours": ("Colors", ""),
    "colours.hex": ("Shade", "as #RRGGBB"),
    "colours.group": ("Group", "which bags hold it"),
    "colours.aliases": ("Also called", "what clients call it, each on a line of its own"),
    "default_palette": ("When the client names no color", "each on a line of its own"),
    "special_order_group": ("Bags for any other color", "the group that they are priced from"),
    "suppliers.delivery": ("Delivery", "charged for each order; empty for none"),
    "suppliers.free_from": ("Free delivery from", "empty for never"),
    "suppliers.minimum": ("Least order", "empty for none"),
    "suppliers.lead_days": ("Arrives after", ""),
    "suppliers.working_days": ("Only working days count, not weekends or holidays", ""),
    "bags": ("Bags", "every color of the group comes in this bag at this price"),
    "bags.size_class": ("Balloon", ""),
    "bags.pack_size": ("Balloons in it", ""),
    "kits": ("Mixed packs", ""),
    "kits.item": ("Name", ""),
    "kits.contents": ("What is in it", ""),
    "kits.contents.size_class": ("Balloon", ""),
    "substitutes": ("What may stand in", "sized alike, where that is cheaper"),
    "substitutes.colour": ("Of the color", "empty for any"),
    "substitutes.instead_colour": ("Instead in the color", "empty for the same"),
    "stock": ("On the shelf at the start", "what is there now is kept under Stock"),
    "stock.size_class": ("Balloon", ""),
    "hardware": ("Frames and stands", "without a width or height one adjusts to any"),
    "hardware.support": ("Carries", ""),
    "hardware.wear": ("Wear", "what one use costs in the long run"),
    "hardware.mass_lb": ("Weighs", "counts against wind"),
    "hardware.base_in": ("Depth of its foot", "from front to back"),
    "hardware.panel": ("Carries a panel or a cloth, and catches wind like a board", ""),
    "hire": ("Hire", "when the shop's own do not fit or are not enough"),
    "covers": ("Fabric covers", ""),
    "covers.fits": ("Fits", "frames by their label, each on a line of its own"),
    "covers.minutes": ("Time to pull it on", ""),
    "foils": ("Foil balloons", "filled with air and fixed to the piece"),
    "foils.shape_names": ("Names that are shapes", "each on a line of its own"),
    "line": ("Line and fixings", ""),
    "line.tail_ft": ("Spare line at each end", ""),
    "line.knots_percent": ("Line that the knots take", ""),
    "line.spool_ft": ("One length of it", ""),
    "line.join_in": ("Taken by a join", ""),
    "line.spacing_in": ("Between two fixings", ""),
    "accents": ("Accents", "what else goes on a piece, each"),
    "accents.usual": ("Usual number", "where the client gave none"),
    "weights": ("Weights", "for feet and bases"),
    "weights.mass_lb": ("Weighs", ""),
    "consumables": ("Used up, and wear of tools", ""),
    "kit": ("What comes along to a job", "it stands on the load list; no price goes by it"),
    "kit.things": ("Tools, spares, safety things", ""),
    "kit.things.sort": ("Belongs to", ""),
    "kit.things.when": ("Comes along", ""),
    "kit.things.count": ("How many", ""),
    "kit.things.each": ("For each", ""),
    "kit.ladders": ("Ladders and platforms", "the lowest that is high enough comes along"),
    "kit.ladders.reaches_ft": ("You reach up to", "standing on it, from the floor"),
    "labour": ("Work of one person", ""),
    "labour.wage": ("Wage", "an hour"),
    "labour.crew": ("People on a job", ""),
    "labour.pair_speedup": ("Two are faster by", "1.67: they do in an hour what one does in 1.67"),
    "labour.sizing_seconds": ("Handling at the pump", "of each balloon, besides its air"),
    "labour.hand_sizing_seconds": ("Handling at the hand pump", "of each balloon"),
    "labour.pump_litres_per_minute": ("The pump gives", ""),
    "labour.hand_pump_litres_per_minute": ("The hand pump gives", ""),
    "labour.tied_per_hour": ("Balloons tied", ""),
    "labour.seconds_per_cluster": ("Seconds for a cluster", ""),
    "labour.line_minutes_per_ft": ("Building on the line", "tying, turning, filling gaps"),
    "labour.quads_line_minutes_per_ft": ("The same, nested quads", ""),
    "labour.load_minutes": ("One car load", "packing, carrying, unloading"),
    "labour.install_minutes_per_piece": ("Putting up, each piece", ""),
    "labour.install_minutes_per_ft": ("Putting up, by length", ""),
    "labour.ladder_factor": ("From a ladder it takes longer by", "1.35: a third more"),
    "labour.ladder_above_ft": ("A ladder is needed above", ""),
    "labour.finish_minutes_per_piece": ("Finishing, each piece", ""),
    "labour.strike_minutes_per_piece": ("Taking down, each piece", ""),
    "labour.strike_minutes_per_ft": ("Taking down, by length", ""),
    "labour.ready_before_minutes": ("Everything stands before the event", ""),
    "labour.slack_minutes": ("Kept free on the way and at the door", ""),
    "workshop": ("Where balloons are inflated", ""),
    "workshop.elevation_ft": ("Height above the sea", ""),
    "workshop.largest_percent": (
        "A balloon may grow to",
        "of its size on the bag, at a warm or high place",
    ),
    "helium.cylinders": ("Cylinders on hire", "with their gas, at 59 °F and sea level"),
    "helium.cylinders.contents_ft3": ("Contents", ""),
    "helium.loss_percent": ("Gas that goes astray", ""),
    "helium.balloon_prices": ("Balloons that float", "latex, each; empty where there are none"),
    "helium.treatment_price": ("Treatment", "so that latex floats for days"),
    "helium.weight_price": ("Weight", "every balloon that floats is tied to one"),
    "helium.weight_factor": ("A weight holds its lift so many times", ""),
    "helium.minutes_each": ("Minutes for each", "fill, tie, ribbon, weight"),
    "wind": ("Wind", "a guide for when to take things down, and no proof of safety"),
    "wind.gust_mph": ("Gusts reckoned with", "where the client gives none"),
    "wind.gust_factor": ("A gust is the mean wind times", ""),
    "wind.come_down_mph": ("Everything comes down at gusts of", "whatever its weights; 24 at most"),
    "wind.friction": ("How a foot grips", "0.2 for wet grass; cautious is better"),
    "car.usable_ft3": ("Room for bags", ""),
    "car.bag_ft3": ("One bag of balloons", ""),
    "car.packing_fraction": ("Share of a bag that is balloon", "such as 0.6"),
    "travel.road_factor": ("Road miles to a mile as the crow flies", ""),
    "travel.speed_mph": ("Usual speed", "in and around town"),
    "travel.town_miles": ("So far at that speed", "of a way; the rest of it goes faster"),
    "travel.far_speed_mph": ("Speed beyond that", ""),
    "travel.price_per_mile": ("Driving costs", ""),
    "travel.zones": ("Flat fees instead of miles", "from near to far; none: every mile is charged"),
    "travel.zones.up_to_miles": ("Up to", ""),
    "travel.area_miles": ("Your area reaches", "further away you look first"),
    "travel.unknown_miles": ("Taken while the place is not known", ""),
    "policy": ("From cost to price", ""),
    "policy.charge": ("A price is", ""),
    "policy.overhead_percent": ("Overhead", "of cost: rent, insurance, tools, the phone"),
    "policy.markup_percent": ("Mark-up", "on cost and overhead"),
    "policy.hourly_target": ("Hourly target", "an hour; where a price is made by it"),
    "policy.minimum": ("The least a job costs", "before tax"),
    "policy.rush_days": ("Short notice is fewer than", ""),
    "policy.rush_percent": ("Short notice costs more by", ""),
    "policy.weekend_percent": ("Weekends cost more by", ""),
    "policy.holiday_percent": ("Holidays cost more by", ""),
    "policy.holidays": ("Whose holidays", ""),
    "policy.holidays.country": ("Country", "as a code, such as US"),
    "policy.holidays.subdivision": ("State", "as a code, such as MA; empty for the country's"),
    "policy.rounding": ("Prices are rounded to", ""),
    "policy.deposit_percent": ("Deposit", "of the price"),
    "policy.deposit_rounding": ("Deposits are rounded to", ""),
    "policy.tax": ("Sales tax", "by where it goes up; ask a tax adviser what is taxed"),
    "policy.tax.postal_prefix": ("Postal codes beginning with", "empty for any other place"),
    "policy.tax.percent": ("Rate", ""),
    "policy.tax.when_kept": ("Taxed where the client keeps the balloons", ""),
    "policy.tax.when_taken_back": ("Taxed where you take everything back", ""),
    "policy.tax_included": ("Prices include tax", ""),
    "policy.leftovers_charged_percent": (
        "Charged of what is left in the packs",
        "0: the client pays the balloons used; 100: whole packs",
    ),
    "policy.leftovers_valued_percent": (
        "Worth of a balloon left over",
        "of its price, when packs are chosen",
    ),
    "policy.service_percent": ("Odds of having enough good balloons", "by color and size"),
    "spread": ("Either way, in percent", "about two jobs in three come out within it"),
    "spread.packing_percent": ("Balloons that the same garland takes", ""),
    "spread.breakage_percent": ("Balloons that burst beyond the spares", ""),
    "spread.hours_percent": ("The pace of the day", ""),
    "spread.stairs_percent": ("Work on stairs, besides", ""),
    "review.when": ("You look first when", ""),
    "review.is": ("Is", ""),
    "review.and": ("And also", "empty for nothing else"),
    "calendar.opening": ("Set-ups may take place", "empty on days that are closed"),
    "calendar.buffer_minutes": ("Between two set-ups", ""),
    "calendar.hold_hours": ("A date is kept without a deposit for", ""),
    "calendar.quote_valid_days": ("A price is good for", ""),
    "calendar.notice_days": ("Least notice", ""),
    "calendar.jobs_at_once": ("Jobs at once", ""),
    "calendar.digest_at": ("Your morning message", "what waits, and the day's set-ups"),
    "answers": ("Your answers", "where one is missing, the chat passes the question on to you"),
    "booking": ("A booked date", ""),
    "booking.pay_to": ("How to pay", "said wherever money is due"),
    "booking.balance_days_before": (
        "The rest is due so many days before the event",
        "0: on the day itself; never before the deposit is due",
    ),
    "booking.cancelling": (
        "Canceling",
        "called off so many days before, this part of the deposit goes back",
    ),
    "booking.cancelling.days_before": ("Days before", ""),
    "booking.cancelling.percent": ("Goes back", ""),
    "booking.moving": ("Moving to another day", ""),
    "booking.moving.free_until_days": ("Free until so long before", ""),
    "booking.weather": ("When the weather is bad", "for what stands outdoors"),
    "booking.terms": ("Terms", "a client agrees to them when a date is held"),
    "follow_up": ("What is written unasked", "nothing goes out in the quiet hours"),
    "follow_up.nudge": ("Before a price lapses", "once, where they did not answer"),
    "follow_up.hold": ("Before a held date runs out", "you are told too"),
    "follow_up.balance": ("Before the rest is due", ""),
    "follow_up.day_before": ("The day before", "when you arrive, and whom to reach"),
    "follow_up.thanks": ("Thank you, afterwards", ""),
    "privacy": ("How long clients' data are kept", ""),
    "privacy.keep_lost_days": ("Requests that came to nothing", ""),
    "privacy.keep_done_days": ("Jobs", ""),
    "privacy.notice": ("Your own words on it", "for clients; empty: the usual ones"),
}

_VALUES: Mapping[str, str] = {
    "en": "English",
    "es": "Spanish",
    "260": "long balloons, one after another",
    "hundred_balloons": "hundred balloons",
    "on": "send it",
    "markup": "cost with a mark-up",
    "hourly_target": "cost with an hourly target",
    "labour": "work, all of it",
    "leftovers": "what is left in the packs",
}


def label_of(place: str) -> str:
    """What the entry at a place of the book is called."""
    known = _SAID.get(place, ("", ""))[0]
    name = place.rsplit(".", 1)[-1]
    return known or said(name.removesuffix(_ending(name)) or name)


def hint_of(place: str) -> str:
    """What is said beside it, if anything."""
    return _SAID.get(place, ("", ""))[1]


def unit_of(place: str) -> str:
    """The unit that a figure is typed in, by the end of its name."""
    return UNITS.get(_ending(place.rsplit(".", 1)[-1]), "")


def counted(value: str, unit: str) -> str:
    """A figure with its unit, one of it where it is one: "1 day", "2.5%"."""
    if not unit or unit == "%":
        return f"{value}{unit}"
    first, *others = unit.split(" ")
    if re.fullmatch(r"1(\.0*)?", value):
        first = _ONE.get(first, first)
    return " ".join((value, first, *others))


def said(name: str) -> str:
    """A name or a value in words: "mini_quad" is "Mini quad"."""
    if name in _VALUES:
        return _capital(_VALUES[name])
    if name.startswith("labour."):
        return f"Work: {said(name.removeprefix('labour.')).lower()}"
    if re.fullmatch(r"[0-9]+", name):
        return f"{name} in"
    return _capital(american(name.replace("_", " ")))


def american(text: str) -> str:
    """As people at the desk spell it."""
    return text.replace("colour", "color").replace("labour", "work").replace("litre", "liter")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ending(name: str) -> str:
    return next((each for each in UNITS if f"_{name}".endswith(each)), "")
