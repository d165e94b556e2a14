"""The owner's own chat: what is asked, pressed and typed there becomes a decision. Pure."""

from bot.owner.chat import is_invitation, paired, stumbled, take, token_of, unpaired
from bot.owner.values import Decision, OwnerOutcome, View

__all__ = [
    "Decision",
    "OwnerOutcome",
    "View",
    "is_invitation",
    "paired",
    "stumbled",
    "take",
    "token_of",
    "unpaired",
]
