"""What a client entered on the booking page, and what is to be corrected."""

from dataclasses import dataclass
from datetime import datetime, time

from service.leads.known_hours import Hours
from service.leads.lead import Client
from service.leads.speech import msg
from service.pages.bookings.opened import Asked, Job
from service.pages.form.days import moment_in, time_of_day
from service.pages.posted import Fault, Posted, Refusals
from service.pages.reaching import read_client


@dataclass(frozen=True, kw_only=True, slots=True)
class Entered:
    """A picked time with all that goes with it. `instead` says that it came from a button."""

    starts_at: datetime | None
    instead: bool
    client: Client
    hours: Hours
    faults: tuple[Fault, ...]


def read(sent: Posted, job: Job, asked: Asked | None) -> Entered:
    """The fields of the form. `asked` are the terms that have to be accepted with it."""
    visit = job.visit
    client, client_faults = read_client(sent, visit.shop, visit.words)
    refusals = Refusals(visit.words)
    instead = moment_in(sent.text("instead"))
    starts_at = instead or moment_in(sent.text("starts_at"))
    if starts_at is None:
        refusals.refuse("starts_at", msg("Pick a set-up time first."))
    since, until = (time_of_day(sent, field, refusals) for field in ("access_from", "access_until"))
    ends = time_of_day(sent, "ends", refusals)
    if since is not None and until is not None and until <= since:
        refusals.refuse("access_until", msg("“Until” has to be later than “From”."))
        since = until = None
    if starts_at:
        _let_in(job.local(starts_at), job.local(starts_at + job.on_site), since, until, refusals)
    _accepted(sent, asked, refusals)
    return Entered(
        starts_at=starts_at,
        instead=instead is not None,
        client=client,
        hours=Hours(access_from=since, access_until=until, event_ends=ends),
        faults=(*refusals.faults, *client_faults),
    )


def _let_in(
    arrive: datetime, ready: datetime, since: time | None, until: time | None, refusals: Refusals
) -> None:
    begins, ends = arrive.time(), ready.time()
    if (since is not None and begins < since) or (until is not None and begins >= until):
        text = msg("We can't get in at that time. Pick another one, or change the hours below.")
        refusals.refuse("starts_at", text)
    elif until is not None and ends > until:
        text = msg(
            "Setting up from then on takes until %(ready)s, and the place closes to us before. "
            "Pick an earlier one, or change the hours below."
        )
        refusals.refuse("starts_at", text, ready=refusals.words.clock(ends))


def _accepted(sent: Posted, asked: Asked | None, refusals: Refusals) -> None:
    if asked is None:
        return
    if sent.text("terms") not in ("", asked.version):
        text = msg("The terms have changed while this page was open. Please read them again.")
        refusals.refuse("accept", text)
    elif sent.text("accept") != asked.version:
        refusals.refuse("accept", msg("Please read the terms and tick the box beneath them."))
