"""What keeps machines out of the form: a field that no person sees, and the time it was open.

Nobody is turned away for good. Whoever falls into a trap is shown the form again, with all that
was typed and a fresh token, and is asked to press the button once more.
"""

import re
from datetime import UTC, datetime, timedelta

from service.leads.lead import NotFound
from service.leads.ports import Ports, Signer
from service.leads.speech import msg
from service.pages.posted import Posted, Refusals

FIELD = "website"
"""A field that people do not see; machines like to fill it in."""

TOKEN = "once"  # noqa: S105  # a name
"""The field that says, signed, when the form was opened; it makes a second press harmless too."""

_PURPOSE = "form"
_FASTEST = timedelta(seconds=3)
_LASTS = timedelta(days=1)


def token(sent: Posted, ports: Ports) -> str:
    """A token for the form as it is shown now; a form that was sent goes on from its opening.

    Who mends one field of a form that came back needs no time for the others.
    """
    now = ports.clock()
    opened = _opened(sent.raw(TOKEN), ports.signer)
    since = now if opened is None or now - opened > _LASTS else opened
    return ports.signer.sign(f"{ports.new_id()}.{int(since.timestamp())}", purpose=_PURPOSE)


def caught(sent: Posted, signer: Signer, now: datetime, refusals: Refusals) -> bool:
    """Whether a machine seems to have sent it; then it is said what a person would do."""
    before = len(refusals.faults)
    if sent.text(FIELD):
        text = msg("This box is there to catch machines. If you are a person, please empty it.")
        refusals.refuse(FIELD, text)
    opened = _opened(sent.raw(TOKEN), signer)
    if opened is None or now - opened > _LASTS:
        text = msg(
            "This page has been open for a long time. Please look it over and send it again."
        )
        refusals.refuse(TOKEN, text)
    elif now - opened < _FASTEST:
        text = msg(
            "That was quick! Please look it over once more, and then press the button again."
        )
        refusals.refuse(TOKEN, text)
    return len(refusals.faults) > before


def _opened(token: str, signer: Signer) -> datetime | None:
    try:
        found = re.fullmatch(r".+\.(\d{1,11})", signer.read(token, purpose=_PURPOSE))
    except NotFound:
        return None
    return datetime.fromtimestamp(int(found[1]), UTC) if found else None
