"""A yes to be priced, and a wish for a lower price."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from hashlib import sha256
from typing import Any

from bot.dialogue import sayings, values
from bot.dialogue.brief import brief_json
from bot.dialogue.draft import Draft
from bot.dialogue.filling import fill, with_words
from bot.dialogue.messages import Button, Offer, Submission
from bot.dialogue.notes import notes, unknown_shapes
from bot.dialogue.offering import cheaper, kept, offer_buttons, wanted
from bot.dialogue.scene import Reply, Scene, person_button
from bot.dialogue.state import State


def confirm(scene: Scene) -> Reply:
    """The client agreed to what was read back."""
    state = scene.state
    brief = _brief(scene, state)
    submission = Submission(
        key_suffix=_key_suffix(state, brief),
        brief=brief,
        language="es" if scene.phrases.language == "es" else "en",
        name=state.name,
        phone=state.phone,
        source=state.source,
        revises=state.submitted > 0,
    )
    sent = replace(
        state,
        submitted=state.submitted + 1,
        editing=False,
        unsure=None,
        asked=None,
        misses=0,
        # What was sent is changed by telling, not by going back.
        earlier=(),
    )
    says = ("working", "other_waits") if state.another else ("working",)
    return Reply(state=sent, says=says, submit=submission)


def _brief(scene: Scene, state: State) -> dict[str, Any]:
    odd = unknown_shapes(state.draft, scene.shop)
    foils = tuple(foil for foil in state.draft.foils if foil not in odd)
    told = notes(state, scene.shop, scene.for_owner)
    return brief_json(replace(state.draft, foils=foils), notes=told)


def _key_suffix(state: State, brief: Mapping[str, Any]) -> str:
    # The numbers begin again when a conversation was erased; the brief's own mark keeps a later
    # client's lead from being taken for an earlier one.
    mark = sha256(json.dumps(brief, sort_keys=True).encode()).hexdigest()[:12]
    return f"{state.number}-{state.revision}-{mark}"


def dear(scene: Scene) -> Reply:
    """A wish for a lower price, or for what fits: other ways to build it, with their prices."""
    state, heard = scene.state, scene.heard
    draft = state.draft
    if heard.text:
        told = fill(state, heard, today=scene.now.date(), shop=scene.shop).draft
        draft = with_words(told, heard.text)
        state = replace(state, draft=draft, revision=state.revision + 1, misses=0)
    if scene.under_review and state.submitted:
        # Another way to build it has no price either, until the owner has named one.
        return Reply(state=state, says=("dear.review",))
    asks = wanted(draft, "")
    if asks is None:
        return Reply(state=state, says=("options.later",))
    if scene.found.offers is None:
        return Reply(state=scene.state, wants=asks)
    offers = scene.found.offers
    if draft.budget_max is None and sayings.says("too_dear", heard.text):
        offers = cheaper(draft, offers, scene.phrases)
    if offers:
        return _offered(scene, state, offers)
    return _cheaper(scene, state)


def _offered(scene: Scene, state: State, offers: Sequence[Offer]) -> Reply:
    draft = state.draft
    currency, phrases = scene.shop.currency, scene.phrases
    buttons = offer_buttons(state.number, draft, offers, currency, phrases)
    says = "options"
    if draft.budget_max is not None:
        fits = any(offer.fits for offer in offers)
        says = "options.budget" if fits else "options.none"
    budget = phrases.money(draft.budget_max, currency) if draft.budget_max is not None else ""
    return Reply(
        state=replace(state, offers=kept(offers)),
        says=(says,),
        values={"budget": budget},
        choices=(*buttons, person_button(scene, state.number)),
        stays=True,
    )


def _cheaper(scene: Scene, state: State) -> Reply:
    """What brings a price down, where no other way to build it is known."""
    thins = _thins(state.draft)
    say, number = scene.phrases.say, state.number
    airy = Button(label=say("button.airy"), value=values.fullness(number, "airy"))
    smaller = Button(label=say("button.smaller"), value=values.edit(number, "size"))
    choices = (airy, smaller) if thins else (smaller,)
    return Reply(
        state=state,
        says=("dear" if thins else "dear.smaller",),
        choices=(*choices, person_button(scene, number)),
        stays=True,
    )


def _thins(draft: Draft) -> bool:
    # A column is built of nested quads: only its height makes it cheaper.
    return draft.fullness != "airy" and any(one.support != "column" for one in draft.pieces)
