"""Devices by a short name that their owner recognises."""

from collections.abc import Sequence

# In this order: most browsers also claim to be those that came before them.
_BROWSERS: Sequence[tuple[str, str]] = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS", "Firefox"),
    ("Chrome/", "Chrome"),
    ("CriOS", "Chrome"),
    ("Safari/", "Safari"),
)
_SYSTEMS: Sequence[tuple[str, str]] = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Windows", "Windows"),
    ("CrOS", "Chromebook"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)


def device_name(user_agent: str) -> str:
    """ "Firefox on Android"; nothing of what the browser sent is kept word for word."""
    browser = next((name for mark, name in _BROWSERS if mark in user_agent), "A browser")
    system = next((name for mark, name in _SYSTEMS if mark in user_agent), None)
    return f"{browser} on {system}" if system else browser
