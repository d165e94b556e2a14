"""What the owner is told beside the brief, in the owner's language."""

from collections.abc import Iterator

from bot.dialogue.draft import Draft
from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrases
from bot.dialogue.readback import colours
from bot.dialogue.shades import unmatched
from bot.dialogue.state import State


def notes(state: State, shop: ShopCard, phrases: Phrases) -> str:
    """A line for each thing that the brief has no field for."""
    return "\n".join(_lines(state, shop, phrases))


def _lines(state: State, shop: ShopCard, phrases: Phrases) -> Iterator[str]:
    draft = state.draft
    if state.phone:
        yield phrases.say("note.phone", phone=state.phone)
    if draft.unwanted:
        yield phrases.say("note.unwanted", colours=colours(draft.unwanted, phrases))
    odd = tuple(unmatched(draft, shop))
    if odd:
        yield phrases.say("note.unmatched", colours=colours(odd, phrases))
    if draft.floating == 0:
        yield phrases.say("note.floating")
    shapes = unknown_shapes(draft, shop)
    if shapes:
        yield phrases.say("note.shapes", shapes=", ".join(shapes))


def unknown_shapes(draft: Draft, shop: ShopCard) -> tuple[str, ...]:
    """Foils that are shapes the shop has no price for: spelled in letters they would be wrong."""
    if not shop.foil_shapes:
        return ()
    shapes = (foil for foil in draft.foils if len(foil) > 1 and foil.islower())
    return tuple(foil for foil in shapes if foil not in shop.foil_shapes)
