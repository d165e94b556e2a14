"""An update whose turn is to be taken."""

from dataclasses import dataclass

from bot.dialogue.messages import Incoming
from bot.gateway import Channel
from bot.turns.lines import Chat


@dataclass(frozen=True, kw_only=True)
class Due:
    """A committed update of a chat; a chat's ids follow the order in which it wrote."""

    channel: Channel
    chat_id: str
    inbox_id: int
    incoming: Incoming

    @property
    def chat(self) -> Chat:
        """Whose line it stands in."""
        return self.channel, self.chat_id
