"""What the brief left open, what was taken instead, and how complete that leaves it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.estimating.answer import Assumption
from service.estimating.book import PriceBook, Spread
from service.estimating.brief import Brief, Piece
from service.estimating.hardware import Use
from service.estimating.paths import Shape, kind_of

METRES_PER_MILE = 1609.344


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
            "colours not chosen": 0.0 if self.palette else spread.palette_assumed,
            "indoors or outdoors": 0.0 if self.setting else spread.setting_unknown,
            "date not set": 0.0 if self.date else spread.date_unknown,
        }
        return {name: scatter for name, scatter in doubts.items() if scatter}


def assumptions(brief: Brief, book: PriceBook, uses: Iterable[Use]) -> tuple[Assumption, ...]:
    """Every gap of the brief and what fills it."""
    found = (*_of_pieces(brief), *_of_supports(uses), *_of_colours(brief, book), *_of_event(brief))
    texts = (*found, *_of_site(brief, book))
    return tuple(Assumption(field=field, text=text) for field, text in texts)


def _of_pieces(brief: Brief) -> Iterator[tuple[str, str]]:
    for index, piece in enumerate(brief.pieces):
        if piece.measures_assumed:
            yield f"pieces[{index}]", f"a usual size for a {piece.support.words}, not measured"
        for name in _unused(piece):
            text = f"a {piece.support.words} does not need this measure; it was left aside"
            yield f"pieces[{index}].{name}", text


def _unused(piece: Piece) -> tuple[str, ...]:
    form = kind_of(piece.support).form(piece.measures, piece.shape or Shape.CATENARY)
    return tuple(name for name in piece.measures if name not in form.measures)


def _of_supports(uses: Iterable[Use]) -> Iterator[tuple[str, str]]:
    for use in uses:
        if use.hired:
            yield (
                "pieces",
                f"the shop has no {use.piece.support.words} of this size free: {use.hired} to hire",
            )


def _of_colours(brief: Brief, book: PriceBook) -> Iterator[tuple[str, str]]:
    if not brief.palette:
        yield "palette", f"no colours named: {', '.join(book.default_palette)}"
    for index, wanted in enumerate(brief.palette):
        if book.colour(wanted.colour) is None:
            text = f"{wanted.colour} is not a colour of the price book: priced as a special order"
            yield f"palette[{index}]", text


def _of_event(brief: Brief) -> Iterator[tuple[str, str]]:
    if brief.event.date is None:
        yield "event.date", "no date yet: weekend and short-notice terms are left out"
    if brief.event.start_time is None:
        yield "event.start_time", "no starting time yet: set-up within the usual hours"


def _of_site(brief: Brief, book: PriceBook) -> Iterator[tuple[str, str]]:
    if brief.site.setting is None:
        yield "site.setting", "not said whether indoors or outdoors: taken as indoors"
    if brief.site.latitude is None:
        miles = book.travel.unknown_distance_m / METRES_PER_MILE
        yield "site.postal_code", f"place not known: a drive of {miles:.0f} miles is taken"
