"""A conversation by name, and where it is read at the desk."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Chat:
    """A conversation by name."""

    channel: str
    chat_id: str

    @property
    def path(self) -> str:
        """Its page at the desk."""
        return f"/desk/conversations/{self.channel}/{self.chat_id}"
