"""Street addresses: "12 May Street" is no date and no count."""

import re

from bot.understanding.lexicon import wheres as words_of
from bot.understanding.passage import Passage, Span

_STREET = (
    r"street|avenue|ave|road|rd|boulevard|blvd|drive|dr|lane|ln|highway|hwy|turnpike|parkway|pkwy|"
    r"st(?=\.?\s?(?:[,;\n)]|$|in\b|apt|unit|near|zip|\d))"
)
# Also other things than streets: only in capitals.
_STREET_IN_CAPITALS = r"st|way|court|ct|place|pl|terrace|circle|cir|square|sq|pike|plaza"
_UNIT = (
    r"(?:,?\s(?:(?:suite|ste|unit|apt|apartment|room|rm|bldg|building|floor|local|int|"
    r"interior|piso|depto|despacho)\.?\s?#?(?:\d{1,4}[a-z]?|[a-z])|#\d{1,4}[a-z]?|"
    r"\d{1,2}(?:st|nd|rd|th) floor)\b)?"
)
_ADDRESS = re.compile(
    r"(?:"
    r"(?<![\w$#.,/:'-])\d{1,5}[a-z]?\s(?:[nsew]\.?\s)?(?P<name>(?:(?:[^\W\d_][\w']*|\d{1,3}(?:st|"
    r"nd|rd|"
    rf"th))\.?\s){{1,3}}?)(?:{_STREET}|(?P<shy>{_STREET_IN_CAPITALS}))\b\.?|"
    r"\b(?:calle|avenida|av\.|calzada|carrera|boulevard|blvd\.?)\s(?:[^\W\d_][\w.]*\s){1,4}?"
    r"(?:#|no\.?|num\.?|numero)?\s?\d{1,5}\b|"
    r"\b(?:hwy|highway|route|rte|rt|county road|state road|carretera|autopista)\.?\s\d{1,4}\b"
    rf"){_UNIT}"
)
_MEASURES = frozenset(("ft", "foot", "feet", "in", "inch", "inches", "pm", "am", "people", "kids"))
_STREET_BREAKS = (words_of.STOPS | _MEASURES) - frozenset(
    ("the", "general", "town", "silver", "gold")
)


def address_in(passage: Passage) -> tuple[Span, ...]:
    """ "12 May Street": no date, no count; the first only."""
    for found in _ADDRESS.finditer(passage.folded):
        begins = (found.start("shy"), found.start("name")) if found["shy"] else ()
        shy = not all(passage.original[at].isupper() for at in begins)
        named = found["name"] is None or not _STREET_BREAKS & set(found["name"].split())
        if named and not shy:
            return ((found.start(), found.end()),)
    return ()
