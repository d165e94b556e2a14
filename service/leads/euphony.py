"""How Spanish joins words that would run into each other."""

import re

# "Y" becomes "e" before the sound of i, save where that glides into another vowel: "y hielo".
_AND = re.compile(r"\by(?=\s+[hH]?[iIíÍ](?![aeouáéóúAEOUÁÉÓÚ]))")
_OR = re.compile(r"\bo(?=\s+[hH]?[oOóÓ])")


def euphonic(text: str) -> str:
    """A Spanish text with "e" and "u" where "y" and "o" would run into the next word."""
    return _OR.sub("u", _AND.sub("e", text))
