"""What goes into the car for a job, load by load, in the order in which it goes in."""

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.estimating import Brief, Estimate, Fitting, PriceBook, Setting
from service.estimating.book import KitEach, KitSort, KitWhen, WorkKit
from service.leads import words
from service.leads.price_books import PriceBooks, book_of
from service.workshop.build_sheet import Bag, bags_of
from service.workshop.fitted import Item, how_many
from service.workshop.floats import by_label
from service.workshop.set_ups import SetUp

_LADDERS = "ladders"
"""The caution that says that somebody works from one."""

_HIRED, _CYLINDER = "hired", "cylinder"
_WORN_TOOLS = "hundred"
_TOP_STEPS = "Of a stepladder, nobody stands on its two topmost steps"

_KIT = {
    KitSort.TOOLS: "Tools",
    KitSort.SPARES: "Spares",
    KitSort.SAFETY: "To be safe",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """Things that are found, or belong, together."""

    title: str
    items: tuple[Item, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CarLoad:
    """The bags that go into the car at once, each with what is in it."""

    number: int
    bags: tuple[Item, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LoadList:
    """Everything that a job takes along.

    `things` all go into the first car load, in their order, and the bags of each load on top.
    """

    bags: int
    things: tuple[Group, ...]
    loads: tuple[CarLoad, ...]
    notes: tuple[str, ...]

    @property
    def mark(self) -> str:
        """What tells this list from another: ticks on it are not for that one."""
        items = [item for group in self.things for item in group.items]
        items += [bag for load in self.loads for bag in load.bags]
        told = "\0".join(f"{item.text}\0{item.where}" for item in items)
        return hashlib.sha256(told.encode()).hexdigest()[:12]


def load_of(set_up: SetUp, books: PriceBooks) -> LoadList:
    """What a set-up takes along: as it was priced, with the kit as it is today."""
    quote = set_up.quote
    book, kit = book_of(books, quote), books.current().kit
    return load_list(quote.brief, quote.estimate, book, kit=kit)


def load_list(brief: Brief, estimate: Estimate, book: PriceBook, *, kit: WorkKit) -> LoadList:
    """The list of a job.

    `book` is the one that the job was estimated by; `kit` the shop's things as they are today, by
    which no price goes.
    """
    bags = [_bag(each) for each in bags_of(brief, estimate, book)]
    top_m = max(piece.path.top_m for piece in brief.pieces)
    climbs = _climbs(estimate, book, top_m)
    return LoadList(
        bags=len(bags),
        things=(
            *_fetched(estimate.fittings),
            *_standing(brief, estimate),
            *(_ladder(kit, top_m) if climbs else ()),
            *_fitted(estimate),
            *_kit(kit, _given(brief, estimate, climbs=climbs), estimate),
        ),
        loads=tuple(_loads(bags, estimate.load.car_loads)),
        notes=tuple(_notes(brief, estimate)),
    )


def _climbs(estimate: Estimate, book: PriceBook, top_m: float) -> bool:
    told = any(caution.code == _LADDERS for caution in estimate.cautions)
    return told or top_m > book.labour.ladder_above_m


def _fetched(fittings: Iterable[Fitting]) -> Iterator[Group]:
    """What is not in the workshop yet, and what to ask for."""
    items = tuple(
        Item(text=how_many(each.label, each.unit, each.count), where=each.mount)
        for each in fittings
        if _comes_from_elsewhere(each)
    )
    if items:
        yield Group(title="Hired: fetch it first", items=items)


def _comes_from_elsewhere(fitting: Fitting) -> bool:
    return fitting.unit == _CYLINDER or fitting.label.endswith(_HIRED)


def _standing(brief: Brief, estimate: Estimate) -> Iterator[Group]:
    """The shop's own frames, stands, covers and weights."""
    own = [each for each in estimate.fittings if not _comes_from_elsewhere(each)]
    yield from _group("Frames, stands, covers", _of(own, "wear", "covers"))
    more = tuple(_short_of_weight(brief, estimate))
    yield from _group("Weights", _of(own, "weights"), more)


def _short_of_weight(brief: Brief, estimate: Estimate) -> Iterator[Item]:
    """Weight that the wind reckoned with wants and the shop does not have, piece by piece."""
    for each in estimate.wind.pieces if estimate.wind else ():
        piece = brief.pieces[each.piece]
        short_kg = max(each.against_tipping_kg, each.against_sliding_kg) - each.ballast_kg
        if short_kg > 0:
            on = "on each of the" if piece.count > 1 else "on the"
            yield Item(
                text=f"{words.pounds(short_kg)} more weight, or anchors",
                where=f"{on.capitalize()} {words.piece_name(piece)}: you own too few for the gusts"
                " that are reckoned with",
            )


def _ladder(kit: WorkKit, top_m: float) -> Iterator[Group]:
    height = words.feet(top_m)
    found = kit.ladder_to(top_m)
    if found is None:
        item = Item(
            text=f"a ladder or platform for work at {height}",
            where="None of yours reaches: hire one",
        )
    else:
        reaches = words.feet(found.reaches_m)
        item = Item(
            text=found.label,
            where=f"The highest work is at {height}; from it you reach {reaches}. {_TOP_STEPS}",
        )
    yield Group(title="Ladder", items=(item,))


def _fitted(estimate: Estimate) -> Iterator[Group]:
    fittings = estimate.fittings
    yield from _group("Line and fixings", _of(fittings, "line", "fixings"))
    yield from _group("Foils and accents", _of(fittings, "foils", "accents"))
    floats = (each for each in _of(fittings, "helium") if each.unit != _CYLINDER)
    yield from _group("What floats", floats, where=by_label(estimate.helium))
    # What stands for the wear of tools is a cost; the tools are in the kit.
    used = (each for each in _of(fittings, "consumables") if each.unit != _WORN_TOOLS)
    yield from _group("Used up there", used)


def _kit(kit: WorkKit, given: set[KitWhen], estimate: Estimate) -> Iterator[Group]:
    taken = kit.taken(given)
    for sort, title in _KIT.items():
        balloons = _spare_balloons(estimate) if sort is KitSort.SPARES else ()
        things = (
            Item(text=_counted(thing.count * _times(thing.each, estimate), thing.label))
            for thing in taken
            if thing.sort is sort
        )
        items = (*balloons, *things)
        if items:
            yield Group(title=title, items=items)


def _given(brief: Brief, estimate: Estimate, *, climbs: bool) -> set[KitWhen]:
    """What holds of the job. Where nobody said indoors or outdoors, it is readied for both."""
    setting = brief.site.setting
    codes = {each.code for each in estimate.fittings}
    holds = {
        KitWhen.OUTDOORS: setting is not Setting.INDOOR,
        KitWhen.INDOORS: setting is not Setting.OUTDOOR,
        KitWhen.LADDER: climbs,
        KitWhen.FRAMES: bool(codes & {"wear", "hire"}),
        KitWhen.FOILS: "foils" in codes or any(each.kind.foil for each in brief.floating),
        KitWhen.HELIUM: estimate.helium.needed,
    }
    return {when for when, true in holds.items() if true}


def _times(each: KitEach, estimate: Estimate) -> int:
    return estimate.plan.crew if each is KitEach.PERSON else 1


def _spare_balloons(estimate: Estimate) -> Iterator[Item]:
    spares: Counter[tuple[int, str]] = Counter()
    for piece in estimate.pieces:
        for line in piece.balloons:
            spares[line.size_class, line.colour] += line.spares
    for floats in estimate.helium.latex:
        spares[floats.size_class, floats.colour] += floats.taken - floats.placed
    said = [f"{n} × {colour} {size} in" for (size, colour), n in spares.items() if n]
    if said:
        yield Item(text=f"{sum(spares.values())} spare balloons", where=words.listed(said))


def _bag(bag: Bag) -> Item:
    return Item(text=f"bag {bag.number} of {bag.of}", where=bag.label)


def _loads(bags: Sequence[Item], car_loads: int) -> Iterator[CarLoad]:
    """The bags in their order, shared out evenly over the car loads, the fuller ones first."""
    each, more = divmod(len(bags), car_loads)
    done = 0
    for number in range(1, car_loads + 1):
        count = each + (number <= more)
        yield CarLoad(number=number, bags=tuple(bags[done : done + count]))
        done += count


def _notes(brief: Brief, estimate: Estimate) -> Iterator[str]:
    loads = estimate.load.car_loads
    if loads > 1:
        yield (
            f"The balloons do not go into the car at once: {loads} loads. The frames and the first"
            " bags go first; what is fetched later stands ready at the door."
        )
    if brief.site.setting is None:
        yield "Indoors or outdoors is not known: things for both are listed."


def _group(
    title: str,
    fittings: Iterable[Fitting],
    more: Iterable[Item] = (),
    *,
    where: Mapping[str, str] | None = None,
) -> Iterator[Group]:
    """So many of each in all: which of them goes on which piece, the build sheet says.

    `where` is what there is to say of some by their labels.
    """
    counts: Counter[tuple[str, str]] = Counter()
    for each in fittings:
        counts[each.label, each.unit] += each.count
    told = where or {}
    sums = (
        Item(text=how_many(label, unit, n), where=told.get(label, ""))
        for (label, unit), n in counts.items()
    )
    if items := (*sums, *more):
        yield Group(title=title, items=items)


def _of(fittings: Iterable[Fitting], *codes: str) -> Iterator[Fitting]:
    return (each for each in fittings if each.code in codes)


def _counted(count: int, label: str) -> str:
    return label if count == 1 else how_many(label, "", count)
