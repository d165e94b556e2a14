"""What the brief left open, what was taken instead, and how complete that leaves it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.estimating.answer import Assumption, Travel
from service.estimating.book import PriceBook, Spread
from service.estimating.brief import METRES_PER_INCH, Brief, Build, Fullness, Piece
from service.estimating.hardware import Use
from service.estimating.paths import Shape, kind_of

METRES_PER_MILE = 1609.344

OUT_OF_AREA = "This is outside the usual area; the owner decides whether and at what price."


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """Which of the facts that move the price the brief gives."""

    measures: bool
    palette: bool
    setting: bool
    date: bool
    time: bool
    site: bool

    @classmethod
    def of(cls, brief: Brief) -> "Known":
        """The facts of `brief`."""
        return cls(
            measures=not any(piece.measures_assumed for piece in brief.pieces),
            palette=bool(brief.palette),
            setting=brief.site.setting is not None,
            date=brief.event.date is not None,
            time=brief.event.start_time is not None,
            site=brief.site.latitude is not None,
        )

    @property
    def completeness(self) -> float:
        """Share of these facts that are known; the measures count twice, they weigh most."""
        facts = (self.palette, self.setting, self.date, self.time, self.site)
        return (2 * self.measures + sum(facts)) / (2 + len(facts))

    def doubts(self, spread: Spread) -> Mapping[str, float]:
        """Scatter of the whole price that each unknown fact adds."""
        doubts = {
            "size not measured": 0.0 if self.measures else spread.measures_assumed,
            "colors not chosen": 0.0 if self.palette else spread.palette_assumed,
            "indoors or outdoors": 0.0 if self.setting else spread.setting_unknown,
            "date not set": 0.0 if self.date else spread.date_unknown,
        }
        return {name: scatter for name, scatter in doubts.items() if scatter}


def assumptions(
    brief: Brief, book: PriceBook, uses: Iterable[Use], travel: Travel
) -> tuple[Assumption, ...]:
    """Every gap of the brief and what fills it, and what the price does not go by."""
    texts = (
        *_of_pieces(brief),
        *_of_supports(uses),
        *_of_colours(brief, book),
        *_of_event(brief),
        *_of_site(brief, book, travel),
    )
    return tuple(Assumption(field=field, text=text) for field, text in texts)


def _of_pieces(brief: Brief) -> Iterator[tuple[str, str]]:
    for index, piece in enumerate(brief.pieces):
        at = f"pieces[{index}]"
        if piece.measures_assumed:
            yield at, f"a usual size for a {piece.support.words}, not measured"
        for name, text in (*_unused_measures(piece), *_unused_build(piece)):
            yield f"{at}.{name}", text


def _unused_measures(piece: Piece) -> Iterator[tuple[str, str]]:
    form = kind_of(piece.support).form(piece.measures, piece.shape or Shape.CATENARY)
    counted = " and ".join(_plain(name) for name in form.measures)
    for name in piece.measures:
        if name not in form.measures:
            yield (
                name,
                f"a {piece.support.words} is priced by its {counted}: its {_plain(name)} was left"
                " aside",
            )


def _unused_build(piece: Piece) -> Iterator[tuple[str, str]]:
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


def _plain(measure: str) -> str:
    return measure.removesuffix("_m")


def _of_supports(uses: Iterable[Use]) -> Iterator[tuple[str, str]]:
    for use in uses:
        if use.hired:
            yield (
                "pieces",
                f"the shop has no {use.piece.support.words} of this size free: {use.hired} to hire",
            )


def _of_colours(brief: Brief, book: PriceBook) -> Iterator[tuple[str, str]]:
    if not brief.palette:
        yield "palette", f"no colors named yet: {', '.join(book.default_palette)}"
    for index, wanted in enumerate(brief.palette):
        if book.colour(wanted.colour) is None:
            text = f"{wanted.colour} is not among the usual colors: priced as a special order"
            yield f"palette[{index}]", text


def _of_event(brief: Brief) -> Iterator[tuple[str, str]]:
    if brief.event.date is None:
        yield "event.date", "no date yet: weekend and short-notice terms are left out"
    if brief.event.start_time is None:
        yield "event.start_time", "no starting time yet: set-up within the usual hours"


def _of_site(brief: Brief, book: PriceBook, travel: Travel) -> Iterator[tuple[str, str]]:
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
