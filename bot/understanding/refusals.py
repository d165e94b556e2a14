"""Is a thing refused where it is named ("no flowers", "sin globos")?"""

import re

_REFUSED = re.compile(
    r"\b(?:no|not|without|sin|dont|don't|do not|doesn't|isn't|aren't|skip|minus|nada de|ni|nor|"
    r"never|hates?|ya no|own|instead of|en vez de|like|como)\s(?:(?:want|need|do|like|quiero|"
    r"queremos|any|the|too|much|fill|filled|with|use|a|an|be|tener|con|de|las|los|more|"
    r"mas)\s){0,3}$"
)
_REACH = 40  # characters


def is_refused(text: str, start: int) -> bool:
    """Whether what stands at `start` of the folded text is refused right before it."""
    return bool(_REFUSED.search(text[max(0, start - _REACH) : start]))
