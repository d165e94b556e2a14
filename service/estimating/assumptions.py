"""What the brief left open and what was taken instead, and what the price does not go by.

Only what the client could still say is told, in words for the client. What the owner allows in the
price book, such as another size in place of the one asked for, is no assumption.
"""

from collections.abc import Iterable, Iterator

from service.estimating.answer import Assumption, Travel
from service.estimating.book import PriceBook
from service.estimating.brief import Brief, Build, Fullness, Ground, Piece, Setting
from service.estimating.cautions import is_place_of_care
from service.estimating.fitting.foils import sort_foils
from service.estimating.gusts import METRES_PER_SECOND_PER_MPH
from service.estimating.paths import Placement, Shape, kind_of, usual_coverage
from service.estimating.units import METRES_PER_INCH

METRES_PER_MILE = 1609.344

OUT_OF_AREA = "This is outside the usual area: whether and at what price is decided by hand."

_USUALLY_PARTLY = frozenset({Placement.ONE_SIDE, Placement.CENTRED, Placement.ASYMMETRIC})
"""Placements that do not say by themselves how far the garland goes."""

_Told = Iterator[tuple[str, str]]


def assumptions(
    brief: Brief, book: PriceBook, travel: Travel, notes: Iterable[Assumption]
) -> tuple[Assumption, ...]:
    """Every gap of the brief and what fills it, and what the price does not go by.

    `notes` are those of the fittings; they come last.
    """
    texts = [
        *_of_pieces(brief, book),
        *_of_colours(brief, book),
        *_of_foils(brief, book),
        *_of_event(brief),
        *_of_site(brief, book, travel),
        *_of_outdoors(brief, book),
        *_of_floating(brief),
    ]
    return (*[Assumption(field=field, text=text) for field, text in texts], *notes)


def _of_pieces(brief: Brief, book: PriceBook) -> _Told:
    for index, piece in enumerate(brief.pieces):
        at = f"pieces[{index}]"
        if piece.measures_assumed:
            yield at, f"a usual size for a {piece.support.words}, not measured"
        for name, text in (
            *_unused_measures(piece),
            *_unused_build(piece),
            *_usual_coverage(piece),
            *_usual_accents(piece, book),
        ):
            yield f"{at}.{name}", text


def _unused_measures(piece: Piece) -> _Told:
    form = kind_of(piece.support).form(piece.measures, piece.shape or Shape.CATENARY)
    if not form.asked_for:
        steps = f"its {piece.steps} steps, as steep as in a house"
        yield "steps", f"this {piece.support.words} was not measured: counted by {steps}"
    counted = " and ".join(_plain(name) for name in form.measures)
    for name in piece.measures:
        if name not in form.measures:
            yield (
                name,
                f"a {piece.support.words} is priced by its {counted}: its {_plain(name)} was left"
                " aside",
            )


def _unused_build(piece: Piece) -> _Told:
    what = piece.support.words
    if piece.built_as is Build.QUADS:
        if piece.fullness is not Fullness.FULL:
            text = f"this {what} is balloons of one size, as thick as they are: {piece.fullness}"
            yield "fullness", f"{text} changes nothing"
        return
    if piece.size_class is not None:
        yield (
            "size_class",
            f"this {what} mixes balloon sizes: {piece.size_class}-inch alone was left aside",
        )
    if piece.sized_m is not None:
        inches = f"{piece.sized_m / METRES_PER_INCH:.3g}"
        yield (
            "sized_m",
            f"this {what} mixes balloon sizes: {inches} inches for each was left aside",
        )


def _usual_coverage(piece: Piece) -> _Told:
    if piece.coverage is None and piece.placement in _USUALLY_PARTLY:
        share = usual_coverage(piece.path, piece.placement)
        how = f"{share:.0%} of it, as is usual for {piece.placement.words}"
        yield "coverage", f"how much of the {piece.support.words} is covered was not said: {how}"


def _usual_accents(piece: Piece, book: PriceBook) -> _Told:
    for index, accent in enumerate(piece.accents):
        usual = book.fittings.accents[accent.kind].usual
        # Where one is usual, like a sign, nobody gives a number.
        if accent.count is None and usual > 1:
            what = accent.kind.value.replace("_", " ")
            yield f"accents[{index}]", f"no number given for the {what}: {usual} on each piece"


def _plain(measure: str) -> str:
    return measure.removesuffix("_m")


def _of_colours(brief: Brief, book: PriceBook) -> _Told:
    if not brief.palette:
        yield "palette", f"no colors named yet: {', '.join(book.default_palette)}"
    for index, wanted in enumerate(brief.palette):
        if book.colour(wanted.colour) is None:
            text = f"{wanted.colour} is not among the usual colors: priced as a special order"
            yield f"palette[{index}]", text


def _of_foils(brief: Brief, book: PriceBook) -> _Told:
    for index, name in enumerate(brief.foils):
        for word in sort_foils((name,), book.fittings.foils.shape_names).words:
            if len(word) > 1:
                yield f"foils[{index}]", f"“{name}” is spelled with {len(word)} single letters"


def _of_event(brief: Brief) -> _Told:
    if brief.event.date is None:
        yield "event.date", "no date yet: weekend and short-notice terms are left out"
    if brief.event.start_time is None:
        yield "event.start_time", "no starting time yet: set-up within the usual hours"


def _of_site(brief: Brief, book: PriceBook, travel: Travel) -> _Told:
    site = brief.site
    if site.setting is None:
        yield "site.setting", "not said whether indoors or outdoors: taken as indoors"
    if travel.distance_m is None:
        miles = book.travel.unknown_distance_m / METRES_PER_MILE
        said = ", ".join(word for word in (site.place, site.postal_code) if word)
        gap = f"I couldn't place “{said}” on the map" if said else "No place named yet"
        yield "site.postal_code", f"{gap}, so I counted a {miles:.0f}-mile drive."
    elif not travel.in_area:
        yield "site", OUT_OF_AREA
    if is_place_of_care(brief):
        yield "site.place", "priced with latex: a place of care may allow foil only, so ask first"


def _of_outdoors(brief: Brief, book: PriceBook) -> _Told:
    site = brief.site
    if site.setting is not Setting.OUTDOOR:
        return
    if site.temperature_c is None:
        fahrenheit = book.workshop.temperature_c * 1.8 + 32
        yield "site.temperature_c", f"no temperature given: {fahrenheit:.0f} °F, as in the workshop"
    if not any(kind_of(piece.support).stands for piece in brief.pieces):
        return
    if site.gust_m_s is None and site.beaufort is None:
        mph = book.wind.gust_m_s / METRES_PER_SECOND_PER_MPH
        yield "site.gust_m_s", f"no wind given: weights are for gusts of {mph:.0f} mph"
    if site.ground is None:
        yield "site.ground", f"not said what it stands on: taken as {Ground.GRASS}"


def _of_floating(brief: Brief) -> _Told:
    if not brief.floating:
        return
    if brief.site.setting is Setting.OUTDOOR:
        text = "outdoors helium balloons float for less than the hours given for a cool, still room"
        yield "floating", text
    if brief.client_keeps is None:
        text = "not said whether the helium balloons stay with you: counted and taxed as taken away"
        yield "client_keeps", text
