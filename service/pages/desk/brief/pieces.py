"""Reading the pieces of the desk's form."""

from dataclasses import replace
from typing import Any

from service.estimating import (
    SIZE_CLASSES,
    Accent,
    AccentKind,
    BriefError,
    Build,
    FieldProblem,
    Fullness,
    Pattern,
    Piece,
    Placement,
    Shape,
    Support,
)
from service.pages.desk.brief.shown import MEASURES
from service.pages.desk.brief.typed import Typed
from service.pages.form.supports import METRES_PER_INCH
from service.pages.templates import in_customary

MOST_PIECES = 20
_MOST_OF_A_KIND = 50
_MOST_STEPS = 90
_MOST_ACCENTS = 200
_LONGEST_WORDS = 120

# What no piece can be shorter or longer than [m], as the core has it.
_LEAST_M, _MOST_M = 0.1, 30.0

ASKED: dict[Support, tuple[str, ...]] = {
    Support.ROUND_TOP_FRAME: ("width", "height"),
    Support.SQUARE_FRAME: ("width", "height"),
    Support.HOOP: ("width",),
    Support.COLUMN: ("height",),
    Support.FREESTANDING_ARCH: ("width", "height", "shape"),
    Support.WALL: ("length",),
    Support.DOORWAY: ("width", "height"),
    Support.STAIRCASE: ("rise", "run", "steps"),
    Support.MANTEL: ("length", "drop"),
    Support.TABLE: ("length", "drop"),
    Support.CEILING: ("length",),
    Support.SWAG: ("width", "sag"),
}
"""Which measures a support is built by."""


def read_pieces(typed: Typed, before: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """The pieces that have a support; one without has been taken out."""
    found = []
    for number in typed.counted("p{n}-support"):
        stored = before[number - 1] if 1 <= number <= len(before) else None
        piece = _read(typed, f"p{number}-", stored)
        if piece is not None:
            found.append(piece)
    if not found and not typed.refusals.faults:
        typed.refuse("p1-support", "A brief needs one piece at least.")
    return tuple(found)


def _read(typed: Typed, at: str, before: Piece | None) -> Piece | None:
    support = typed.one_of(f"{at}support", Support, before.support if before else None)
    if support is None:
        typed.refuse(f"{at}support", "Choose one from the list.")
        return None
    faults = len(typed.refusals.faults)
    parts = _parts(typed, at, before) | {"support": support}
    if len(typed.refusals.faults) > faults:
        return None
    try:
        return replace(before, **parts) if before else Piece(**parts)
    except BriefError as error:
        for problem in error.problems:
            _explain(typed, at, support, parts, problem)
        return None


def _parts(typed: Typed, at: str, before: Piece | None) -> dict[str, Any]:
    def was(name: str) -> Any:
        return getattr(before, name) if before else None

    return {
        "count": typed.whole(f"{at}count", was("count"), 1, _MOST_OF_A_KIND) or 1,
        "fullness": typed.one_of(f"{at}fullness", Fullness, was("fullness")) or Fullness.FULL,
        "placement": typed.one_of(f"{at}placement", Placement, was("placement")) or Placement.WHOLE,
        "coverage": typed.number(
            f"{at}coverage", was("coverage"), 1, 100, lambda percent: percent / 100
        ),
        "pattern": typed.one_of(f"{at}pattern", Pattern, was("pattern")) or Pattern.MIXED,
        "build": typed.one_of(f"{at}build", Build, was("build")),
        "size_class": typed.whole(f"{at}size_class", was("size_class"), 1, max(SIZE_CLASSES)),
        "sized_m": typed.number(
            f"{at}sized",
            was("sized_m"),
            2,
            max(SIZE_CLASSES),
            lambda inches: round(inches * METRES_PER_INCH, 4),
        ),
        "shape": typed.one_of(f"{at}shape", Shape, was("shape")),
        "steps": typed.whole(f"{at}steps", was("steps"), 1, _MOST_STEPS),
        "measures_assumed": bool(typed.sent.text(f"{at}assumed")),
        "accents": _accents(typed, at, was("accents") or ()),
        **{f"{name}_m": typed.size(at + name, was(f"{name}_m")) for name in MEASURES},
    }


def _accents(typed: Typed, at: str, before: tuple[Accent, ...]) -> tuple[Accent, ...]:
    found = []
    for number in typed.counted(f"{at}a{{n}}-kind"):
        name = f"{at}a{number}-"
        was = before[number - 1] if 1 <= number <= len(before) else None
        kind = typed.one_of(f"{name}kind", AccentKind, was.kind if was else None)
        count = typed.whole(f"{name}count", was.count if was else None, 1, _MOST_ACCENTS)
        words = typed.text(f"{name}words", _LONGEST_WORDS, was.words if was else None)
        if kind is not None:
            found.append(Accent(kind=kind, count=count, words=words))
    return tuple(found)


def _explain(
    typed: Typed, at: str, support: Support, parts: dict[str, Any], problem: FieldProblem
) -> None:
    """What is wrong with a measure, in feet."""
    name = problem.field.removesuffix("_m")
    value = parts[problem.field] if name in MEASURES else _LEAST_M
    if value is None:
        typed.refuse(at + name, f"A {support.words} needs this measure.")
    elif not _LEAST_M <= value <= _MOST_M:
        typed.refuse(at + name, "Between 4 in and 98 ft, please.")
    else:
        text = in_customary(problem.detail)
        typed.refuse(at + name, f"{text[:1].upper()}{text[1:]}.")
