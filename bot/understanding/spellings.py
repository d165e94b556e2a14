"""Chat spellings written out, so that one pattern reads "kiero cancelar" and "quiero cancelar"."""

import re

_CHAT = (
    # Spanish words only: "keep" and "kids" stay as they are.
    (
        re.compile(
            r"\bk(?=(?:e|ien(?:es)?|ier\w+|isier\w+|er(?:emos|ia\w*)|ed(?:o|a|ar|an|amos|o|aron)|"
            r"it(?:a|ar|an|e|en|o)\w*|ince\w*|iza|izas)\b)"
        ),
        "qu",
    ),
    (
        re.compile(
            r"\bq\b|\bk\b(?=\s(?:se|me|no|si|es|lo|la|el|los|las|precio|tan|quier\w+|ped\w+))"
        ),
        "que",
    ),
    (re.compile(r"\bxq\b|\bpq\b"), "porque"),
    (re.compile(r"\bpa\b|\bp/"), "para"),
    (re.compile(r"\bu\b"), "you"),
    (re.compile(r"\bur\b"), "your"),
    (re.compile(r"\br\b(?=\s(?:you|your|the|they|these)\b)"), "are"),
    (re.compile(r"\b(?:pls|plz|pleez|plis|porfa|xfa|xfavor)\b"), "please"),
    (re.compile(r"\bq(?:ou?|uo|ua)te?s?\b"), "quote"),
    (re.compile(r"\bcance(?=l\w)l{1,2}"), "cancel"),
    (re.compile(r"\bw(?:a|h)t\b"), "what"),
    (re.compile(r"\bgonna\b"), "going to"),
    (re.compile(r"\bwanna\b"), "want to"),
)


def plain(folded: str) -> str:
    """A folded text without apostrophes and with common chat spellings written out."""
    text = folded.replace("'", "").replace("¿", "").replace("¡", "")
    for pattern, spelling in _CHAT:
        text = pattern.sub(spelling, text)
    return text


def any_of(*families: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(families)})\b")
