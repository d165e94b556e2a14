"""How the things of the trade are said to people: pieces, balloons, colors, places, tax."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from itertools import groupby

from service.estimating import (
    Accent,
    AccentKind,
    Build,
    CostLine,
    Floating,
    Fullness,
    Piece,
    Placement,
    Price,
    Site,
    Support,
    spelled,
)
from service.leads import vocabulary
from service.leads.speech import Speech, msg

_INCH_M = 0.0254
_POUND_KG = 0.45359237
_POUND_N = 4.4482216152605


@dataclass(frozen=True, kw_only=True, slots=True)
class Words(Speech):
    """One language with the words of the trade."""

    def colour(self, name: str) -> str:
        """A colour by its plain name; the owner's own colours stay as they are."""
        return self.text(name)

    def colours(self, names: Iterable[str]) -> str:
        """ "sage, cream and gold"."""
        return self.listed([self.colour(name) for name in names])

    def foils(self, names: Iterable[str]) -> str:
        """ "50, star ×2 and boat": numbers and words whole, shapes by their names."""
        return self.listed(
            self.text(name) + (f" ×{many}" if many > 1 else "") for name, many in _read_aloud(names)
        )

    def balloon_size(self, size_class: int) -> str:
        """ "medium (10 in)", with a space inside the brackets that no line breaks at."""
        return self.say(vocabulary.SIZES.get(size_class, vocabulary.GIANT), size=size_class)

    def fullness(self, value: Fullness) -> str:
        """ "airy"."""
        return self.say(vocabulary.FULLNESS[value])

    def placement(self, value: Placement) -> str:
        """ "on one side"; empty for the whole path."""
        return self.say(vocabulary.PLACEMENTS[value]) if value in vocabulary.PLACEMENTS else ""

    def piece(self, value: Piece, *, count: int | None = None) -> str:
        """ "2 columns, 6 ft tall" or "round-top frame, 4 ft wide and 7 ft tall, full"; `count` is
        how many where it is not the piece's own."""
        many = count or value.count
        measures = list(self._measures(value))
        partly = value.coverage not in (None, 1)
        said = [
            self.several(*vocabulary.NAMES[value.support], many),
            self.listed(measures) if measures else "",
            # Nested quads of one size have one thickness: only an organic garland is airy or lush.
            self.fullness(value.fullness) if value.built_as is Build.ORGANIC else "",
            self.placement(value.placement),
            self.say("%(share)s covered", share=self.percent(value.coverage or 1))
            if partly
            else "",
            self.say(vocabulary.PATTERNS[value.pattern])
            if value.pattern in vocabulary.PATTERNS
            else "",
        ]
        return ", ".join(filter(None, said)) + self._with_accents(value, many)

    def piece_name(self, value: Piece) -> str:
        """ "2 columns", "round-top frame"."""
        return self.several(*vocabulary.NAMES[value.support], value.count)

    def support(self, value: Support) -> str:
        """ "round-top frame"."""
        return self.several(*vocabulary.NAMES[value], 1)

    def accent(self, value: Accent) -> str:
        """ "8 stems of flowers (white roses)", "a sign (“Fifty years afloat”)", "greenery"."""
        if value.count is None:
            said = self.accent_kind(value.kind)
        else:
            said = self.several(*vocabulary.ACCENTS[value.kind], value.count)
        if not value.words:
            return said
        return f"{said} ({f'“{value.words}”' if value.kind is AccentKind.SIGN else value.words})"

    def accent_kind(self, kind: AccentKind) -> str:
        """ "flowers", "a sign"."""
        return self.say(vocabulary.SOME[kind])

    def floating(self, value: Floating) -> str:
        """ "12 helium balloons, 11 in latex, treated to float longer"."""
        said = self.several(*vocabulary.FLOATING[value.kind], value.count, size=value.size_class)
        return self.say("%(what)s, treated to float longer", what=said) if value.treated else said

    def conditions(self, site: Site) -> str:
        """ "84 °F, wind force 3, on grass, 400 ft above the sea": what the brief says of them."""
        return ", ".join(self._conditions(site))

    def tax(self, price: Price, amount: Decimal) -> str:
        """What to say of the sales tax on `amount`: in it, about how much it is, or none."""
        due = price.tax_rate * price.taxable_share
        if not due:
            return self.say("no sales tax is added")
        if price.tax_included:
            return self.say("tax included")
        whole = max(Decimal(1), (amount * due).quantize(Decimal(1), ROUND_HALF_UP))
        return self.say("plus about %(tax)s sales tax", tax=self.money(whole, price.currency))

    def contact(self, line: str) -> str:
        """A contact line; what says that a number is one, such as "phone", in this language."""
        word = self.say(vocabulary.PHONE)
        number = _PHONE.fullmatch(line)
        if number is None or word == vocabulary.PHONE or number[1] == line:
            return line
        return f"{word} {number[1].strip()}"

    def reached_by(self, contact: Sequence[str]) -> str:
        """ "phone +1 617 555 0142 or hello@shop.example": the lines to call or write to.

        Where no line is a number or an email address, all of them have to do.
        """
        direct = [self.contact(line) for line in contact if address(line)]
        return self.either(direct) if direct else "; ".join(contact)

    def _with_accents(self, value: Piece, many: int) -> str:
        if not value.accents:
            return ""
        what = self.listed([self.accent(each) for each in value.accents])
        if many > 1:
            return self.say("; each with %(accents)s", accents=what)
        return self.say("; with %(accents)s", accents=what)

    def _measures(self, value: Piece) -> Iterator[str]:
        across = value.support is Support.HOOP
        for size, text in (
            (value.width_m, msg("%(size)s across") if across else msg("%(size)s wide")),
            (value.height_m, msg("%(size)s tall")),
            (value.length_m, msg("%(size)s long")),
            (value.rise_m, msg("%(size)s up")),
            (value.run_m, msg("%(size)s along")),
            (value.sag_m, msg("%(size)s deep")),
            (value.drop_m, msg("%(size)s down at each end")),
        ):
            if size is not None:
                yield self.say(text, size=self.measure(size))
        if value.steps is not None:
            yield self.several("%(count)s step", "%(count)s steps", value.steps)

    def _conditions(self, site: Site) -> Iterator[str]:
        if site.temperature_c is not None:
            yield self.fahrenheit(site.temperature_c)
        if site.gust_m_s is not None:
            yield self.say("gusts of %(speed)s", speed=self.mph(site.gust_m_s))
        if site.beaufort is not None:
            yield self.say("wind force %(force)s (Beaufort)", force=site.beaufort)
        if site.ground is not None:
            yield self.say(vocabulary.GROUNDS[site.ground])
        if site.elevation_m is not None:
            feet = self.number(round(site.elevation_m / 0.3048))
            yield self.say("%(feet)s ft above the sea", feet=feet)


@dataclass(frozen=True, kw_only=True, slots=True)
class Wording:
    """Everything that the shop says, in every language that it has.

    `shipped` is what it says without the texts that the owner changed at the desk.
    """

    by_language: Mapping[str, Words]
    shipped: "Wording | None" = None

    @property
    def languages(self) -> tuple[str, ...]:
        """The languages by their codes, English first."""
        return tuple(self.by_language)

    def in_language(self, language: str) -> Words:
        """The words of a language; English where there are none of it."""
        return self.by_language.get(language) or self.by_language["en"]

    def as_shipped(self, language: str) -> Words:
        """The words of a language without what was changed at the desk."""
        return (self.shipped or self).in_language(language)


def _read_aloud(foils: Iterable[str]) -> Iterator[tuple[str, int]]:
    """Figures and letters that stand side by side as one number or word; what repeats counted."""
    return ((name, len(list(same))) for name, same in groupby(spelled(foils)))


_EMAIL = re.compile(r"(?:e-?mail:?\s+)?([^@\s]+@[^@\s]+\.[^@\s]+)", re.IGNORECASE)
_PHONE = re.compile(
    r"(?:(?:tele)?phone|tel|mobile|cell|call|text)?[.:]?\s*(\+?[\d\s().-]{7,})", re.IGNORECASE
)


def address(contact: str) -> str | None:
    """What a contact line leads to: "mailto:…", "tel:…", or None where it is neither."""
    email = _EMAIL.fullmatch(contact)
    if email:
        return f"mailto:{email[1]}"
    phone = _PHONE.fullmatch(contact)
    return "tel:" + re.sub(r"[^\d+]", "", phone[1]) if phone else None


ENGLISH = Words()
"""What the owner reads is in English, and no catalogue changes it."""

money, day, clock, moment, lasting = (
    ENGLISH.money,
    ENGLISH.day,
    ENGLISH.clock,
    ENGLISH.moment,
    ENGLISH.lasting,
)
listed, feet, mph, fahrenheit = ENGLISH.listed, ENGLISH.feet, ENGLISH.mph, ENGLISH.fahrenheit
piece, piece_name, accent = ENGLISH.piece, ENGLISH.piece_name, ENGLISH.accent
floating, conditions, balloon_size = ENGLISH.floating, ENGLISH.conditions, ENGLISH.balloon_size
reached_by = ENGLISH.reached_by


def inches(metres: float) -> str:
    """Inches to a tenth, as a sizing box is set: 0.254 is "10.0 in"."""
    return f"{metres / _INCH_M:.1f} in"


def pounds(kilograms: float) -> str:
    """Pounds; light things to a tenth of an ounce: 20.41 is "45 lb", 0.0143 is "0.5 oz"."""
    heavy = kilograms / _POUND_KG
    return f"{heavy:.0f} lb" if heavy >= 1 else f"{heavy * 16:.1f} oz"


def pounds_of_force(newtons: float) -> str:
    """A push in pounds: 90.9 is "20 lb of force"."""
    return f"{newtons / _POUND_N:.0f} lb of force"


def square_feet(square_metres: float) -> str:
    """3.108 is "33 sq ft"."""
    return f"{square_metres / 0.3048**2:.0f} sq ft"


def cubic_feet(cubic_metres: float) -> str:
    """0.204 is "7.2 cu ft"."""
    return f"{cubic_metres / 0.3048**3:.1f} cu ft"


_PEOPLES_UNITS = {"km": ("miles", Decimal("1.609344")), "m": ("ft", Decimal("0.3048"))}
_PLURALS = {
    unit: f"{unit}s"
    for unit in (
        *("bag", "balloon", "clip", "cover", "cylinder", "dot", "elastic band", "foil", "piece"),
        *("point", "sign", "stem", "streamer", "trip", "use", "weight"),
    )
}


def counted(quantity: Decimal, unit: str) -> tuple[Decimal, str]:
    """A quantity in miles and feet, and its unit in the plural where there is not just one."""
    name, size = _PEOPLES_UNITS.get(unit, (unit, Decimal(1)))
    much = quantity / size
    return much, name if much == 1 else _PLURALS.get(name, name)


def cost(line: CostLine) -> tuple[Decimal, str, Decimal]:
    """Quantity, unit and rate of a cost line in miles and feet; their product stays the same."""
    quantity, unit = counted(line.quantity, line.unit)
    _, size = _PEOPLES_UNITS.get(line.unit, (line.unit, Decimal(1)))
    return quantity, unit, line.rate * size
