"""The pages on which the price book is edited, and which sections stand on them."""

from collections.abc import Mapping

from service.leads.book_forms import BookPage
from service.leads.lead import NotFound
from service.storage.price_book.book import BookEntry
from service.storage.price_book.naming import label_of

_GROUPS: Mapping[str, tuple[str, str, tuple[str, ...]]] = {
    "shop": ("The shop", "name, place, how you are reached", ("shop",)),
    "sizes": ("Balloons and sizes", "how far they are blown up, how long they keep", ("sizes",)),
    "garland": ("How a garland is made", "thickness, clusters, fillers", ("recipe",)),
    "colors": (
        "Colors",
        "names, shades, what clients call them",
        ("colours", "default_palette", "special_order_group"),
    ),
    "packs": (
        "Suppliers and packs",
        "where bags are bought, and for how much",
        ("suppliers", "bags", "kits", "substitutes"),
    ),
    "stock": ("Balloons on hand", "what was on the shelf when it was first counted", ("stock",)),
    "frames": (
        "Frames, covers, hire",
        "what you own, and what getting one costs",
        ("hardware", "hire", "covers"),
    ),
    "extras": (
        "Foils, line, accents, weights",
        "what goes on, under and around it",
        ("foils", "line", "accents", "weights", "consumables"),
    ),
    "kit": ("What comes along", "tools, spares, safety things, ladders", ("kit",)),
    "work": ("Work and hours", "wage, pace, setting up and taking down", ("labour",)),
    "air": (
        "Workshop, helium, wind",
        "air at home and there, what floats, when it comes down",
        ("workshop", "helium", "wind"),
    ),
    "travel": ("Car and travel", "what fits in, miles, your area", ("car", "travel")),
    "prices": (
        "Prices, tax, minimum",
        "mark-up, surcharges, deposit, rounding",
        ("policy",),
    ),
    "spread": ("How far things come out differently", "what makes a range", ("spread",)),
    "looking": ("When you look first", "before a price goes out", ("review",)),
    "calendar": ("Calendar", "hours, notice, how long a date and a price are good", ("calendar",)),
    "booking": ("Booking", "paying, canceling, moving, weather, terms", ("booking",)),
    "answers": ("Answers to clients", "what the chat says to common questions", ("answers",)),
    "follow-up": ("Follow-up", "what is written unasked, and when not", ("follow_up",)),
    "privacy": ("Privacy", "how long clients' data are kept", ("privacy",)),
}


def _pages() -> Mapping[str, tuple[BookPage, tuple[str, ...]]]:
    known = [name for *_, names in _GROUPS.values() for name in names]
    # A section that nobody gave a page has one of its own.
    further = {
        name.replace("_", "-"): (label_of(name), "", (name,))
        for name in BookEntry.model_fields
        if name not in known
    }
    return {
        key: (BookPage(key=key, title=title, about=about), names)
        for key, (title, about, names) in {**_GROUPS, **further}.items()
    }


PAGES = _pages()


def sections_of(key: str) -> tuple[BookPage, tuple[str, ...]]:
    """A page and its sections. Raises NotFound."""
    if key not in PAGES:
        raise NotFound("There is no such page of the price book.")
    return PAGES[key]


def page_with(section: object) -> BookPage | None:
    """The page that a section stands on."""
    return next((page for page, names in PAGES.values() if section in names), None)
