"""What the site does to it: wind on what stands outdoors, and heat, cold and height."""

from collections.abc import Iterator

from service.estimating.answer import Expansion, Reason, Wind, WindOnPiece
from service.estimating.book import PriceBook, WindRules
from service.estimating.brief import Ground, Site
from service.estimating.explanation.sources import BRIEF, price_book
from service.estimating.explanation.workings import Workings
from service.estimating.gusts import ACT_SHARE, WATCH_SHARE, velocity_pressure

_GASES = "ideal gas, ISO 2533 air; " + price_book("workshop.temperature_f", "workshop.elevation_ft")
_LARGEST = price_book("workshop.largest_percent")
_PUSHED = (
    "EN 1991-1-4, 4.10; cylinder by length over thickness: Aeronautical Engineer's Data Book;"
    " panel 1.8: EN 1991-1-4, 7.4.3"
)
_TIPPING = "statics of a rigid body; " + price_book(
    "wind.safety_factor", "hardware.base_in", "hardware.mass_lb"
)
_SLIDING = {
    ground: "statics of a rigid body; "
    + price_book("wind.safety_factor", f"wind.friction.{ground.value}", "hardware.mass_lb")
    for ground in Ground
}
_PLACES = Reason(
    figure="wind.pieces[].piece",
    value="as listed",
    formula="place among the pieces, the first is 0",
    inputs={},
    source=BRIEF,
)
_STAGES = "a city park's wind management plan"


def of_site(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of the expansion and of the wind, where there are any."""
    if workings.expansion:
        yield from _swollen(workings.expansion, workings.brief.site, book)
    if workings.wind:
        yield from _gusts(workings.wind, workings.brief.site)
        yield _PLACES
        ground = workings.brief.site.ground or Ground.GRASS
        for index, piece in enumerate(workings.wind.pieces):
            at = f"wind.pieces[{index}]"
            gust = workings.wind.gust_m_s
            yield from _pushed(at, piece, gust)
            yield from _held(at, piece, ground, book.wind)


def _swollen(expansion: Expansion, site: Site, book: PriceBook) -> Iterator[Reason]:
    yield Reason(
        figure="expansion.volume_ratio",
        value=f"{expansion.volume_ratio:.4f}",
        formula="(T there / T here) × (p here + rubber's) / (p there + rubber's)",
        inputs={
            "T here": f"{book.workshop.temperature_c:.1f} °C",
            "T there": _or_as_here(site.temperature_c, "°C"),
            "height here": f"{book.workshop.elevation_m:.1f} m",
            "height there": _or_as_here(site.elevation_m, "m"),
        },
        source=_GASES,
    )
    yield Reason(
        figure="expansion.diameter_ratio",
        value=f"{expansion.diameter_ratio:.4f}",
        formula="cube root of the volume's ratio",
        inputs={},
        source=_GASES,
    )
    yield Reason(
        figure="expansion.sized",
        value=", ".join(
            [
                f"{each.size_class} in: {each.in_workshop_m:.3f} m for {each.at_site_m:.3f} m"
                for each in expansion.sized
            ]
        ),
        formula="diameter wanted there / ratio, no larger than the rubber should be there or here",
        inputs={"largest": f"{book.workshop.largest_share:.0%} of nominal"},
        source=f"ideal gas; {_LARGEST}",
    )


def _or_as_here(value: float | None, unit: str) -> str:
    return "as here" if value is None else f"{value:.1f} {unit}"


def _gusts(wind: Wind, site: Site) -> Iterator[Reason]:
    if site.gust_m_s is not None:
        formula, source = "the gust given", BRIEF
    elif site.beaufort is not None:
        formula = "strongest mean wind of the Beaufort number × gust factor"
        source = "WMO Beaufort table; " + price_book("wind.gust_factor")
    else:
        formula, source = "the book's own, where none is given", price_book("wind.gust_mph")
    yield Reason(
        figure="wind.gust_m_s",
        value=f"{wind.gust_m_s:.3f} m/s",
        formula=formula,
        inputs={} if site.beaufort is None else {"Beaufort": str(site.beaufort)},
        source=source,
    )
    down = min([piece.comes_down_at_m_s for piece in wind.pieces])
    for figure, value, share in (
        ("wind.watch_at_m_s", wind.watch_at_m_s, WATCH_SHARE),
        ("wind.act_at_m_s", wind.act_at_m_s, ACT_SHARE),
    ):
        yield Reason(
            figure=figure,
            value=f"{value:.3f} m/s",
            formula="share × the least gust at which a piece comes down",
            inputs={"share": f"{share:.0%}", "comes down at": f"{down:.3f} m/s"},
            source=_STAGES,
        )


def _pushed(at: str, piece: WindOnPiece, gust_m_s: float) -> Iterator[Reason]:
    pressure, area = velocity_pressure(gust_m_s), f"{piece.area_m2:.3f} m²"
    pushed = pressure * piece.area_m2
    yield Reason(
        figure=f"{at}.area_m2",
        value=area,
        formula="girth × garland, and the panel or cloth behind it",
        inputs={"piece": str(piece.piece + 1)},
        source="outline seen from the front",
    )
    yield Reason(
        figure=f"{at}.force_n",
        value=f"{piece.force_n:.3f} N",
        formula="½ρv² × c A, summed over garland and panel",
        inputs={
            "½ρv²": f"{pressure:.3f} Pa",
            "A": area,
            "c": f"{piece.force_n / pushed if pushed else 0:.3f}",
        },
        source=_PUSHED,
    )
    yield Reason(
        figure=f"{at}.acts_at_m",
        value=f"{piece.acts_at_m:.3f} m",
        formula="moment about the floor / force; each stretch at its mean height",
        inputs={},
        source="statics of a rigid body",
    )


def _held(at: str, piece: WindOnPiece, ground: Ground, rules: WindRules) -> Iterator[Reason]:
    force = f"{piece.force_n:.3f} N"
    safety = f"{rules.safety_factor:g}"
    yield Reason(
        figure=f"{at}.against_tipping_kg",
        value=f"{piece.against_tipping_kg:.3f} kg",
        formula="F z SF / (g × half the depth of its base) - own mass, not below 0",
        inputs={"F": force, "z": f"{piece.acts_at_m:.3f} m", "SF": safety},
        source=_TIPPING,
    )
    yield Reason(
        figure=f"{at}.against_sliding_kg",
        value=f"{piece.against_sliding_kg:.3f} kg",
        formula="F SF / (g μ) - own mass, not below 0",
        inputs={"F": force, "SF": safety, "μ": f"{rules.friction[ground]:g}"},
        source=_SLIDING[ground],
    )
    yield Reason(
        figure=f"{at}.ballast_kg",
        value=f"{piece.ballast_kg:.3f} kg",
        formula="the shop's weights that cover the larger of the two, as far as they go",
        inputs={},
        source=price_book("weights.mass_lb", "weights.count"),
    )
    yield Reason(
        figure=f"{at}.comes_down_at_m_s",
        value=f"{piece.comes_down_at_m_s:.3f} m/s",
        formula="the gust that its ballast holds, at most the limit",
        inputs={"limit": f"{rules.come_down_m_s:.3f} m/s"},
        source="EN 14960; " + price_book("wind.come_down_mph"),
    )
