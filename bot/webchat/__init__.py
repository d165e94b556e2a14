"""The web chat: the dialogue in a page of our own, live over server-sent events."""

from bot.webchat.server import Chat
from bot.webchat.serving import ChatServer

__all__ = ["Chat", "ChatServer"]
