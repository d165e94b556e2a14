"""What a client takes back: nothing is read from "instead of pink" or "not june 6"."""

import re

from bot.understanding.passage import Passage, Span

_DATE_WORD = (
    r"(?:january|february|march|april|may|june|july|august|september|october|november|december|"
    r"jan|"
    r"feb|mar|apr|jun|jul|aug|sept?|oct|nov|dec|[a-z]+day|\d)"
)
_TAKEN_BACK = re.compile(
    r"\b(?:instead of|rather than|en vez de|en lugar de)\s[^,.;!?\n]{1,40}?"
    r"(?=\s(?:and|plus|also|que|(?:for|on) (?:the|my|our)|"
    r"but|y|pero|make|do|use|go|we|can|could|please|lets|to)\b|[,.;!?\n]|$)|"
    r"\b(?:switch|change|swap|replace|cambi\w+)\s(?:out\s)?(?:the\s|my\s|our\s|el\s|la\s|"
    r"los\s)?(?!(?:to|for|with|por|al?)\s)[^,.;!?\n]{1,30}?(?=\s(?:to|for|with|por(?!\sfa)|"
    r"al?)\s)|"
    r"\b(?:from|del)\s[^,.;!?\n]{1,30}?(?=\s(?:to|al?)\s[^,.;!?\n]{1,30}(?:$|[,.;!?\n]))|"
    rf"\b(?:not|scratch|scrap|forget|never\s?mind|nvm|skip)\s(?:on\s|until\s|till\s|"
    rf"at\s)?(?:the\s)?{_DATE_WORD}[^,.;!?\n]{{0,14}}?(?=[,.;!?\n]|"
    rf"$|\s(?:but|"
    r"its|it's|sorry|anymore|any more)\b)|"
    r"\b(?:ya\s)?no\s(?:empieza a las|termina a las|van? a ser|va ser|es|son|sera|seran|seria|"
    r"era|"
    r"eran|el|las?|de|"
    r"a las)\s(?:el\s|la\s|a "
    r"las\s|de\s)?\d[^,.;!?\n]{0,18}?(?=[,.;!?\n]|$|\s(?:sino|es|son|mejor)\b)|\bel \d{1,2} no\b|"
    r"\b(?:i|we) (?:said|put|wrote|typed|had|told you|had said)\s[^,.;!?\n]{1,24}?(?=,?\s(?:but|"
    r"should)\b)|"
    r"\b(?:dije|dijimos|puse|pusimos|(?:habia|habiamos) dicho|"
    r"quedamos en)\s[^,.;!?\n]{1,24}?(?=,?\s(?:pero|"
    r"y es|y son)\b)|"
    r"\bya no (?:es|va a ser|sera|va)\s(?:en|a)\s[^,.;!?\n]{1,30}(?=[,.;!?\n]|\s(?:sino|es|"
    r"ahora)\b|$)"
)
_MOVES = re.compile(
    r"\b(?:chang\w+|mov\w+|switch\w*|push\w*|resched\w+|updat\w+|cambi\w+|muev\w+|pas(?:ar|amos|"
    r"emos|aron|alo|ala|o|a)\b|bump\w*|"
    r"postpon\w+|pospon\w+)\b"
)


def taken_back(passage: Passage) -> tuple[Span, ...]:
    """ "instead of pink", and in a change "from june 6" before "to june 13"."""
    moves = bool(_MOVES.search(passage.folded))
    return tuple(
        found.span()
        for found in _TAKEN_BACK.finditer(passage.folded)
        if moves or not found.group().startswith(("from ", "del "))
    )
