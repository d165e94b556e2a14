"""Which of our languages a browser would like best."""

import re
from collections.abc import Sequence

from babel import negotiate_locale

_WISH = re.compile(r"\s*([a-z]{1,8}(?:-[a-z0-9]{1,8})*)\s*(?:;\s*q=([01](?:\.\d{0,3})?)\s*)?", re.I)


def preferred(accepted: str | None, known: Sequence[str]) -> str:
    """The best of `known` by an Accept-Language header; the first of them where none is wished."""
    wishes = [found for part in (accepted or "").split(",") if (found := _WISH.fullmatch(part))]
    ranked = sorted(wishes, key=lambda found: -float(found[2] or 1))
    wanted = [found[1] for found in ranked if float(found[2] or 1) > 0]
    return negotiate_locale(wanted, known, sep="-") or known[0]
