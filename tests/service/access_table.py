"""Who may open what: every route of the service, placed by hand.

`ROUTES` maps (method, path) to a placement; `test_access_table.py` asks every route as every caller
and fails where the answer is not what the placement says, and where a route has no placement. A new
route gets a line in its section: `keys(...)` under /v1, `OWNERS` or `EVERYONES` at the desk,
`link(...)` for what a signed link opens, `OPEN` for what is anybody's.

A path's parameters stand for the objects that the test makes, by name; one that it does not know is
filled with a made-up value, so that a GET's row needs `answers(404)`.
"""

from service.leads.handling import BOOKING_LINK, QUOTE_LINK, STATUS_LINK, WELCOME_LINK
from tests.service.placing import (
    EVERYONES,
    KEYS,
    OPEN,
    OWNERS,
    Caller,
    Outcome,
    Placement,
    keys,
    link,
)

ANY_KEY = keys(*KEYS)
OWNER_KEY = keys(Caller.OWNER_KEY)
BOT_KEY = keys(Caller.BOT)
WORKER_KEY = keys(Caller.WORKER)

ROUTES: dict[tuple[str, str], Placement] = {
    # Anybody's
    ("GET", "/"): OPEN,
    ("GET", "/healthz"): OPEN,
    ("GET", "/readyz"): OPEN,
    ("GET", "/metrics"): OPEN,
    ("GET", "/openapi.json"): OPEN,
    ("GET", "/docs"): OPEN,
    ("GET", "/docs/oauth2-redirect"): OPEN,
    ("GET", "/form"): OPEN,
    ("POST", "/form"): OPEN,
    ("GET", "/form/embed.js"): OPEN,
    ("GET", "/privacy"): OPEN,
    # What clients' links open
    ("GET", "/quotes/{token}"): link(QUOTE_LINK),
    ("GET", "/requests/{token}"): link(STATUS_LINK),
    ("GET", "/bookings/{token}"): link(BOOKING_LINK),
    ("POST", "/bookings/{token}"): link(BOOKING_LINK),
    ("GET", "/v1/quotes/{token}"): link(QUOTE_LINK),
    ("GET", "/v1/bookings/{token}/windows"): link(BOOKING_LINK),
    ("POST", "/v1/bookings/{token}/holds"): link(BOOKING_LINK).sends(
        starts_at="2027-01-24T12:00:00-05:00", name="Nora", phone="+1 617 555 0199"
    ),
    ("GET", "/v1/bookings/{token}/terms"): link(BOOKING_LINK),
    ("POST", "/v1/bookings/{token}/give-back"): link(BOOKING_LINK),
    ("POST", "/bookings/{token}/give-back"): link(BOOKING_LINK),
    # The API
    ("POST", "/v1/estimates"): ANY_KEY,
    ("POST", "/v1/estimates/explanation"): keys(Caller.BOT, Caller.WORKER, Caller.OWNER_KEY),
    ("POST", "/v1/options"): ANY_KEY,
    ("GET", "/v1/shop"): ANY_KEY,
    ("GET", "/v1/places/nearest"): BOT_KEY.asks("latitude=42.36&longitude=-71.18"),
    ("POST", "/v1/leads"): keys(Caller.BOT, Caller.WEBSITE, Caller.OWNER_KEY),
    ("GET", "/v1/leads"): OWNER_KEY,
    ("GET", "/v1/leads/{lead_id}"): ANY_KEY,
    ("POST", "/v1/leads/{lead_id}/quotes"): WORKER_KEY,
    ("POST", "/v1/leads/{lead_id}/reviews"): WORKER_KEY,
    ("POST", "/v1/leads/{lead_id}/decisions"): OWNER_KEY,
    ("POST", "/v1/inbox"): BOT_KEY,
    ("GET", "/v1/inbox"): BOT_KEY.asks("channel=webchat"),
    ("GET", "/v1/conversations/{channel}/{chat_id}"): BOT_KEY,
    ("POST", "/v1/conversations/{channel}/{chat_id}/turns"): BOT_KEY,
    ("GET", "/v1/conversations/{channel}/{chat_id}/messages"): BOT_KEY,
    ("PUT", "/v1/photos/{photo_id}"): BOT_KEY,
    ("GET", "/v1/photos/{photo_id}"): BOT_KEY.asks("channel=webchat&chat_id=own").another(
        Outcome.NOT_FOUND
    ),
    ("POST", "/v1/owner/pairings"): BOT_KEY,
    ("GET", "/v1/owner/chats"): BOT_KEY,
    # The test's chats are clients': the bot may ask, and hears that they are not the owner's.
    ("GET", "/v1/owner/chats/{channel}/{chat_id}/waiting"): BOT_KEY.answers(403),
    ("GET", "/v1/owner/chats/{channel}/{chat_id}/today"): BOT_KEY.answers(403),
    ("POST", "/v1/owner/chats/{channel}/{chat_id}/decisions"): BOT_KEY,
    ("POST", "/v1/steps/{step_id}/lease"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/sending"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/done"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/failures"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/again"): OWNER_KEY,
    ("GET", "/v1/messages/{message_id}"): WORKER_KEY,
    ("POST", "/v1/outbox/sweep"): WORKER_KEY,
    ("GET", "/v1/people"): OWNER_KEY,
    ("POST", "/v1/people"): OWNER_KEY,
    ("POST", "/v1/people/{person_id}/invitations"): OWNER_KEY,
    ("POST", "/v1/people/{person_id}/end"): OWNER_KEY,
    ("GET", "/v1/jobs"): OWNER_KEY,
    ("GET", "/v1/jobs/{hold_id}"): OWNER_KEY,
    ("GET", "/v1/needs"): OWNER_KEY,
    ("GET", "/v1/leads/{lead_id}/windows"): OWNER_KEY,
    ("POST", "/v1/leads/{lead_id}/hold"): OWNER_KEY,
    ("POST", "/v1/leads/{lead_id}/move"): OWNER_KEY,
    ("POST", "/v1/leads/{lead_id}/release"): OWNER_KEY,
    ("GET", "/v1/closed-times"): OWNER_KEY,
    ("POST", "/v1/closed-times"): OWNER_KEY,
    ("DELETE", "/v1/closed-times/{closed_id}"): OWNER_KEY.answers(404),
    ("GET", "/v1/clients/{lead_id}"): OWNER_KEY,
    ("GET", "/v1/clients/{lead_id}/file"): OWNER_KEY,
    ("DELETE", "/v1/clients/{lead_id}"): OWNER_KEY,
    ("POST", "/v1/reminders/{reminder_id}/due"): WORKER_KEY,
    ("GET", "/v1/reminders"): OWNER_KEY,
    ("POST", "/v1/reminders/{reminder_id}/skip"): OWNER_KEY.answers(404),
    ("POST", "/v1/reminders/{reminder_id}/send"): OWNER_KEY.answers(404),
    ("PUT", "/v1/reminders/stops/{lead_id}"): OWNER_KEY,
    ("GET", "/v1/texts"): OWNER_KEY,
    ("PUT", "/v1/texts/{key}/{language}"): OWNER_KEY,
    ("DELETE", "/v1/texts/{key}/{language}"): OWNER_KEY,
    ("GET", "/v1/review-rules"): OWNER_KEY,
    ("PUT", "/v1/review-rules"): OWNER_KEY,
    ("POST", "/v1/review-rules/rehearsal"): OWNER_KEY,
    ("GET", "/v1/stock"): OWNER_KEY,
    ("POST", "/v1/stock"): OWNER_KEY,
    ("GET", "/v1/stock/moves"): OWNER_KEY,
    # Signing in
    ("GET", "/desk/sign-in"): OPEN,
    # Without the page's own token nobody is let in, whoever they are.
    ("POST", "/desk/sign-in"): OPEN.answers(403),
    ("GET", "/desk/welcome/{token}"): link(WELCOME_LINK),
    ("POST", "/desk/welcome/{token}"): link(WELCOME_LINK).answers(422),
    ("POST", "/desk/sign-out"): EVERYONES,
    # The desk
    ("GET", "/desk"): OWNERS,
    ("POST", "/desk/steps/{step_id}/again"): OWNERS,
    ("GET", "/desk/leads/{lead_id}"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/send"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/price"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/decline"): OWNERS,
    ("GET", "/desk/conversations/{number}"): OWNERS,
    ("GET", "/desk/conversations/{channel}/{chat_id}"): OWNERS,
    ("POST", "/desk/conversations/{channel}/{chat_id}/answer"): OWNERS,
    ("POST", "/desk/conversations/{channel}/{chat_id}/settle"): OWNERS,
    ("GET", "/desk/photos/{photo_id}"): OWNERS,
    ("GET", "/desk/telegram"): OWNERS,
    ("POST", "/desk/telegram/invitation"): OWNERS,
    ("POST", "/desk/telegram/unpair"): OWNERS,
    ("GET", "/desk/more"): OWNERS,
    ("GET", "/desk/account"): EVERYONES,
    ("POST", "/desk/account/sessions/{key}/end"): EVERYONES,
    ("POST", "/desk/account/sign-out-everywhere"): EVERYONES,
    ("POST", "/desk/account/password"): EVERYONES,
    ("GET", "/desk/people"): OWNERS,
    ("POST", "/desk/people"): OWNERS,
    ("POST", "/desk/people/{person_id}/invitation"): OWNERS,
    ("POST", "/desk/people/{person_id}/end"): OWNERS,
    ("GET", "/desk/days-off"): OWNERS,
    ("POST", "/desk/days-off"): OWNERS,
    ("POST", "/desk/days-off/{closed_id}/open"): OWNERS,
    ("GET", "/desk/privacy/{lead_id}"): OWNERS,
    ("GET", "/desk/privacy/{lead_id}/file"): OWNERS,
    ("POST", "/desk/privacy/{lead_id}/erase"): OWNERS,
    ("GET", "/desk/rules"): OWNERS,
    ("POST", "/desk/rules"): OWNERS,
    ("GET", "/desk/stock"): OWNERS,
    ("POST", "/desk/stock"): OWNERS,
    ("GET", "/desk/stock/count"): OWNERS,
    ("POST", "/desk/stock/count"): OWNERS,
    ("GET", "/desk/stock/moves"): OWNERS,
    # For helpers as well
    ("GET", "/desk/jobs"): EVERYONES,
    ("GET", "/desk/jobs/{hold_id}"): EVERYONES,
    # Money and calendar
    ("GET", "/v1/leads/{lead_id}/payments"): OWNER_KEY,
    ("POST", "/v1/leads/{lead_id}/payments"): OWNER_KEY,
    ("POST", "/v1/leads/{lead_id}/payments/{payment_id}/void"): OWNER_KEY.answers(404),
    ("GET", "/v1/leads/{lead_id}/cancel"): OWNER_KEY.answers(422),
    ("POST", "/v1/leads/{lead_id}/cancel"): OWNER_KEY,
    ("GET", "/v1/money"): OWNER_KEY,
    ("GET", "/v1/calendar"): OWNER_KEY.answers(422),
    ("GET", "/v1/feeds"): OWNER_KEY,
    ("POST", "/v1/feeds"): OWNER_KEY,
    ("POST", "/v1/feeds/{feed_id}/revoke"): OWNER_KEY,
    ("GET", "/calendar/{key}.ics"): OPEN.answers(404),
    ("GET", "/bookings/{token}.ics"): link(BOOKING_LINK),
    ("GET", "/desk/bookings/{lead_id}"): OWNERS,
    ("POST", "/desk/bookings/{lead_id}/payments"): OWNERS,
    ("POST", "/desk/bookings/{lead_id}/payments/{payment_id}/void"): OWNERS,
    ("POST", "/desk/bookings/{lead_id}/date"): OWNERS,
    ("POST", "/desk/bookings/{lead_id}/release"): OWNERS,
    ("POST", "/desk/bookings/{lead_id}/cancel"): OWNERS,
    ("GET", "/desk/calendar"): OWNERS,
    ("GET", "/desk/money"): OWNERS,
    ("GET", "/desk/feeds"): OWNERS,
    ("POST", "/desk/feeds"): OWNERS,
    ("POST", "/desk/feeds/{feed_id}/revoke"): OWNERS,
}

UNPLACED = frozenset({"/v1", "/v1/{rest:path}"})
"""What answers every other address under /v1, by any method: nothing is there."""

FILES = frozenset({"/static", "/static-offline-docs"})
"""Mounted folders of files that are anybody's."""
