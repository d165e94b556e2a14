"""How people get an account at the desk, how it ends, and how guessing at passwords is slowed down.

Whoever is let in gets a link that works once: the owner from the set-up's own output, a helper from
the owner. There the password is chosen; until then an earlier password stays good.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from service.leads.handling import WELCOME_LINK
from service.leads.lead import CLIENT, GARLANDRY, OWNER, LinkExpired, NotFound
from service.leads.limits import network_of
from service.leads.people import OWNER_ID, BadName, Guesses, Person, PersonRole, folded
from service.leads.ports import Ports, UnitOfWork

OWNER_LINK_LASTS = timedelta(days=1)
INVITATION_LASTS = timedelta(days=3)

LONGEST_NAME = 60

# What histories call somebody else.
_RESERVED = frozenset({OWNER, CLIENT, GARLANDRY})

_LOOK_BACK = timedelta(days=1)
_FIRST_PAUSE = timedelta(seconds=30)


@dataclass(frozen=True, kw_only=True, slots=True)
class Welcome:
    """The address at which somebody chooses a password, once, and until when it works."""

    person: Person
    url: str
    expires_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where a try at signing in comes from.

    `known`: whoever sits there was let in under the same name before.
    """

    source: str
    known: bool


def known_place(secret: str) -> Place:
    """A device or session that was let in before, by the digest of what it showed."""
    return Place(source=f"known:{secret[:40]}", known=True)


def strange_place(address: str) -> Place:
    """Anywhere else: an address, of the newer kind the network that one connection has."""
    return Place(source=f"from:{network_of(address)}", known=False)


def wait_before_trying(work: UnitOfWork, name: str, place: Place, now: datetime) -> timedelta:
    """How long nobody may try that name from there; zero where they may.

    A place that is known is judged by its own tries alone: a stranger cannot lock it out. Other
    places wait for what was tried from there, and for what was tried at the name from elsewhere.
    The answer is the same for names that nobody has.
    """
    since = now - _LOOK_BACK
    from_there = work.people.guesses_from(place.source, since)
    if place.known:
        return _left(from_there, free=10, longest=timedelta(minutes=15), now=now)
    at_name = work.people.guesses_at(folded(name), since)
    return max(
        _left(from_there, free=10, longest=timedelta(hours=1), now=now),
        _left(at_name, free=10, longest=timedelta(minutes=15), now=now),
    )


def _left(guesses: Guesses, *, free: int, longest: timedelta, now: datetime) -> timedelta:
    over = guesses.count - free
    if over < 0 or guesses.latest is None:
        return timedelta(0)
    # Past sixteen doublings every pause is the longest.
    pause = min(longest, _FIRST_PAUSE * (1 << min(over, 16)))
    return max(timedelta(0), guesses.latest + pause - now)


def who_is_called(work: UnitOfWork, typed: str, shop_owner: str) -> str:
    """The name under which an account is looked up. The owner may leave it empty."""
    name = folded(typed)
    if name in ("", folded(shop_owner)) and work.people.named(name) is None:
        return OWNER_ID
    return name


def owner_link(work: UnitOfWork, ports: Ports, *, now: datetime) -> Welcome:
    """A fresh link for the owner to choose a password, or a new one."""
    return _welcome(work, ports, _owner(work, now), OWNER_LINK_LASTS, now)


def invite(work: UnitOfWork, ports: Ports, name: str, *, now: datetime) -> Welcome:
    """A link for a new helper, to be passed on by the owner. Raises BadName."""
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise BadName(f"Give a name of 1 to {LONGEST_NAME} letters.")
    owners = folded(ports.price_books.current().shop.owner)
    if folded(name) in _RESERVED or folded(name) == owners:
        raise BadName("That name is taken by the desk itself. Choose another one.")
    person = Person(
        id=ports.new_id(), role=PersonRole.HELPER, name=name, since=now, may_sign_in=False
    )
    work.people.add(person)
    return _welcome(work, ports, person, INVITATION_LASTS, now)


def invite_again(work: UnitOfWork, ports: Ports, person_id: str, *, now: datetime) -> Welcome:
    """A fresh link for a helper who lost the first one, forgot the password or comes back."""
    person = _helper(work, person_id)
    if person.ended_at is not None:
        work.people.welcome_back(person.id)
    return _welcome(work, ports, person, INVITATION_LASTS, now)


def end(work: UnitOfWork, person_id: str, *, now: datetime) -> None:
    """A helper's access is over at once, with sessions, password and invitations."""
    person = _helper(work, person_id)
    work.links.revoke(person.id, WELCOME_LINK, now)
    work.people.end(person.id, now)


def welcomed(work: UnitOfWork, ports: Ports, token: str, *, now: datetime) -> Person:
    """Whom a link lets choose a password. Raises NotFound or LinkExpired."""
    link_id = ports.signer.read(token, purpose=WELCOME_LINK)
    return _invited(work, work.links.find(link_id, purpose=WELCOME_LINK, now=now), now)


def choose_password(
    work: UnitOfWork, ports: Ports, token: str, password_hash: str, *, now: datetime
) -> Person:
    """Use the link up: the password is theirs, and everything they had open is closed."""
    link_id = ports.signer.read(token, purpose=WELCOME_LINK)
    person = _invited(work, work.links.use(link_id, purpose=WELCOME_LINK, now=now), now)
    work.links.revoke(person.id, WELCOME_LINK, now)
    work.people.set_password_hash(person.id, password_hash, now)
    return person


def _welcome(
    work: UnitOfWork, ports: Ports, person: Person, lasts: timedelta, now: datetime
) -> Welcome:
    # Of several links only the newest works: an earlier one may have reached somebody else.
    work.links.revoke(person.id, WELCOME_LINK, now)
    expires_at = now + lasts
    link = work.links.add(purpose=WELCOME_LINK, subject_id=person.id, expires_at=expires_at)
    token = ports.signer.sign(link, purpose=WELCOME_LINK)
    return Welcome(
        person=person, url=f"{ports.public_url}/desk/welcome/{token}", expires_at=expires_at
    )


def _invited(work: UnitOfWork, person_id: str, now: datetime) -> Person:
    person = _owner(work, now) if person_id == OWNER_ID else work.people.get(person_id)
    if person.ended_at is not None:
        raise LinkExpired("Their access was ended.")
    return person


def _owner(work: UnitOfWork, now: datetime) -> Person:
    try:
        return work.people.get(OWNER_ID)
    except NotFound:
        return Person(
            id=OWNER_ID, role=PersonRole.OWNER, name=OWNER_ID, since=now, may_sign_in=False
        )


def _helper(work: UnitOfWork, person_id: str) -> Person:
    person = work.people.get(person_id)
    if person.role is not PersonRole.HELPER:
        raise NotFound("There is no such helper.")
    return person
