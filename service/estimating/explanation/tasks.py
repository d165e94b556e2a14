"""Hours by task: what each counts, and how long one of it takes."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from service.estimating.answer import Reason
from service.estimating.book import Labour, PriceBook, Task
from service.estimating.brief import Build
from service.estimating.building import Built
from service.estimating.calibration import AS_BOOKED
from service.estimating.explanation.sources import OWN_RECORD, price_book
from service.estimating.explanation.workings import Workings
from service.estimating.hours import seconds_per_balloon, speedup
from service.estimating.paths import kind_of

Inputs = dict[str, str]

_DRIVE = Task.DRIVE.value
_DRIVEN = price_book("labour.crew", "travel.speed_mph")
_LABOUR = price_book("labour.crew", "labour.pair_speedup")


@dataclass(frozen=True, kw_only=True, slots=True)
class _Explained:
    """A task's formula, what goes into it, and where its rates stand.

    Each input is a product that ends in seconds; together they are one person's time.
    """

    formula: str
    inputs: Callable[[Workings, PriceBook], Inputs]
    source: str


def of_hours(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of the hours, by task."""
    spent, jobs = workings.hours, workings.calibration.jobs
    yield Reason(
        figure="hours",
        value=f"{sum(spent.values()):.3f} h",
        formula="sum over tasks of seconds / 3600; a task that does not occur takes none",
        inputs={"crew": str(book.labour.crew), "jobs in the shop's record": str(jobs)},
        source=f"{_LABOUR}; {OWN_RECORD}" if jobs else _LABOUR,
    )
    factors = _of_crew(book.labour)
    for task, told in _TASKS.items():
        if spent[task]:
            inputs, moved = told.inputs(workings, book), _of_record(task, workings)
            if factors or moved:
                inputs |= factors | moved
            yield Reason(
                figure=f"hours.{task}",
                value=f"{spent[task]:.3f} h",
                formula=told.formula,
                inputs=inputs,
                source=f"{told.source}; {OWN_RECORD}" if moved else told.source,
            )
    if spent[_DRIVE]:
        yield _driving(workings, book.labour.crew)


def _driving(workings: Workings, crew: int) -> Reason:
    inputs = {"driving": f"{workings.travel.drive_hours:.3f} h", "crew": str(crew)}
    moved = _of_record(_DRIVE, workings)
    return Reason(
        figure=f"hours.{_DRIVE}",
        value=f"{workings.hours[_DRIVE]:.3f} h",
        formula="driving hours × crew",
        inputs=inputs | moved,
        source=f"{_DRIVEN}; {OWN_RECORD}" if moved else _DRIVEN,
    )


def _of_crew(labour: Labour) -> Inputs:
    if labour.crew == 1:
        return {}
    share = labour.crew / speedup(labour.crew, labour.pair_speedup)
    return {f"crew of {labour.crew} / speed-up": f"× {share:.4f}"}


def _of_record(task: str, workings: Workings) -> Inputs:
    calibration = workings.calibration
    if not calibration.jobs:
        return {}
    supports = {piece.support.value for piece in workings.brief.pieces}
    belief = calibration.driving if task == _DRIVE else calibration.pace(task, supports)
    return {} if belief == AS_BOOKED else {"the shop's own record": f"× {belief.factor:.4f}"}


def _inflating(workings: Workings, book: PriceBook) -> Inputs:
    counts: dict[tuple[int, float], int] = {}
    for each in workings.built:
        made, pieces = each.made, each.piece.count
        for size, number in made.sizes.items():
            kind = size, made.sized[size]
            counts[kind] = counts.get(kind, 0) + pieces * number
    return {
        f"{size} in, sized {diameter:.3f} m": f"{number} × {_each_s(size, diameter, book):.5g} s"
        for (size, diameter), number in counts.items()
    }


def _each_s(size: int, diameter_m: float, book: PriceBook) -> float:
    known = book.size(size)
    return seconds_per_balloon(diameter_m, book.labour, by_hand=known is not None and known.by_hand)


def _tying(workings: Workings, book: PriceBook) -> Inputs:
    balloons = sum([line.placed for line in workings.spares])
    return {"balloons": f"{balloons} × {book.labour.tying_s:.5g} s"}


def _clustering(workings: Workings, book: PriceBook) -> Inputs:
    inputs = {}
    for kind, each in book.labour.seconds_per_cluster.items():
        number = sum([piece.clusters.get(kind, 0) for piece in workings.pieces])
        if number:
            inputs[kind.replace("_", " ")] = f"{number} × {each:g} s"
    return inputs


def _line_build(workings: Workings, book: PriceBook) -> Inputs:
    labour, inputs = book.labour, {}
    for index, each in enumerate(workings.built):
        quads = each.piece.built_as is Build.QUADS
        metre_s = labour.quads_line_seconds_per_m if quads else labour.line_seconds_per_m
        length = f"{each.piece.count} × {each.made.garland_length_m:.3f} m"
        inputs[f"piece {index + 1}"] = f"{length} × {metre_s:.5g} s"
    return inputs


def _fitted(code_is_foils: bool) -> Callable[[Workings, PriceBook], Inputs]:
    def inputs(workings: Workings, _: PriceBook) -> Inputs:
        return {
            f"fittings[{index}], {each.label}": f"{each.count} × {each.seconds / each.count:.5g} s"
            for index, each in enumerate(workings.fittings)
            if each.seconds and (each.code == "foils") is code_is_foils
        }

    return inputs


def _filling(workings: Workings, book: PriceBook) -> Inputs:
    rates, inputs = book.helium, {}
    for index, each in enumerate(workings.brief.floating):
        extra = rates.treatment_seconds if each.treated else 0.0
        inputs[f"kind {index + 1}"] = f"{each.count} × {rates.seconds_each + extra:.5g} s"
    return inputs


def _loading(workings: Workings, book: PriceBook) -> Inputs:
    return {"car loads": f"{workings.load.car_loads} × {book.labour.load_seconds:.5g} s"}


def _installing(workings: Workings, book: PriceBook) -> Inputs:
    labour = book.labour
    piece_s, metre_s = labour.install_seconds_per_piece, labour.install_seconds_per_m
    return _at_the_support(workings, labour, piece_s, metre_s)


def _finishing(workings: Workings, book: PriceBook) -> Inputs:
    pieces = sum([piece.count for piece in workings.pieces])
    return {"pieces": f"{pieces} × {book.labour.finish_seconds_per_piece:.5g} s"}


def _striking(workings: Workings, book: PriceBook) -> Inputs:
    labour = book.labour
    piece_s, metre_s = labour.strike_seconds_per_piece, labour.strike_seconds_per_m
    if not workings.brief.client_keeps:
        return _at_the_support(workings, labour, piece_s, metre_s)
    return {
        f"stand of piece {index + 1}": f"{each.piece.count} × {piece_s:.5g} s"
        for index, each in enumerate(workings.built)
        if kind_of(each.piece.support).owned
    }


def _at_the_support(workings: Workings, labour: Labour, piece_s: float, metre_s: float) -> Inputs:
    return {
        f"piece {index + 1}": (
            f"{each.piece.count} × ({piece_s:.5g} s +"
            f" {each.made.garland_length_m:.3f} m × {metre_s:.5g} s){_ladder(each, labour)}"
        )
        for index, each in enumerate(workings.built)
    }


def _ladder(each: Built, labour: Labour) -> str:
    climbs = each.made.path.top_m > labour.ladder_above_m
    return f" × {labour.ladder_factor:g}" if climbs else ""


_TASKS: Mapping[str, _Explained] = {
    Task.SIZING_AND_INFLATING.value: _Explained(
        formula="balloons × (handling + volume / flow of the pump)",
        inputs=_inflating,
        source=price_book(
            "labour.sizing_seconds",
            "labour.pump_litres_per_minute",
            "labour.hand_sizing_seconds",
            "labour.hand_pump_litres_per_minute",
            "sizes.by_hand",
        ),
    ),
    Task.TYING.value: _Explained(
        formula="balloons × 1 h / tied an hour",
        inputs=_tying,
        source=price_book("labour.tied_per_hour"),
    ),
    Task.CLUSTERING.value: _Explained(
        formula="clusters × time of each",
        inputs=_clustering,
        source=price_book("labour.seconds_per_cluster"),
    ),
    Task.LINE_BUILD.value: _Explained(
        formula="pieces × garland × time a metre",
        inputs=_line_build,
        source=price_book("labour.line_minutes_per_ft", "labour.quads_line_minutes_per_ft"),
    ),
    Task.FOILS.value: _Explained(
        formula="foils × time of each",
        inputs=_fitted(True),
        source=price_book("foils.digit.minutes", "foils.letter.minutes", "foils.shape.minutes"),
    ),
    Task.ACCENTS.value: _Explained(
        formula="accents and covers × time of each",
        inputs=_fitted(False),
        source=price_book("accents", "covers.minutes"),
    ),
    Task.HELIUM.value: _Explained(
        formula="balloons that float × (time of each + time of the treatment)",
        inputs=_filling,
        source=price_book("helium.minutes_each", "helium.treatment_minutes"),
    ),
    Task.LOAD.value: _Explained(
        formula="car loads × time of each",
        inputs=_loading,
        source=price_book("labour.load_minutes"),
    ),
    Task.INSTALL.value: _Explained(
        formula="pieces × (time a piece + garland × time a metre), more from a ladder",
        inputs=_installing,
        source=price_book(
            "labour.install_minutes_per_piece",
            "labour.install_minutes_per_ft",
            "labour.ladder_factor",
            "labour.ladder_above_ft",
        ),
    ),
    Task.FINISH.value: _Explained(
        formula="pieces × time a piece",
        inputs=_finishing,
        source=price_book("labour.finish_minutes_per_piece"),
    ),
    Task.STRIKE.value: _Explained(
        formula=(
            "pieces × (time a piece + garland × time a metre), more from a ladder; where the client"
            " keeps the balloons, stands only"
        ),
        inputs=_striking,
        source=price_book(
            "labour.strike_minutes_per_piece",
            "labour.strike_minutes_per_ft",
            "labour.ladder_factor",
            "labour.ladder_above_ft",
        ),
    ),
}
"""Every task but the drive, in the order in which the work is done."""
