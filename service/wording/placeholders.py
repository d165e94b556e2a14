"""Whether a text in another language can be filled in with what its English text is given."""

import re
from collections.abc import Sequence

_PLACEHOLDER = re.compile(r"%\((\w+)\)s")


def fits(wanted: Sequence[str], said: Sequence[str]) -> bool:
    """Whether every form of `said` can take the place of `wanted`.

    It has each `%(name)s` that all forms of the English text have, none that no form has, and no
    other sign of percent than `%%`.
    """
    forms = [_names(text) for text in wanted]
    needed, allowed = set.intersection(*forms), set.union(*forms)
    return all(
        needed <= _names(text) <= allowed
        and "%" not in _PLACEHOLDER.sub("", text).replace("%%", "")
        for text in said
    )


def _names(text: str) -> set[str]:
    return set(_PLACEHOLDER.findall(text))
