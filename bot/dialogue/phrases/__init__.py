"""The shop's wording, one module for each language, as Python data: no file is read."""

from bot.dialogue.phrases import en


def say(key: str, **values: object) -> str:
    """The text of `key` with its values. Raises KeyError for an unknown key."""
    return en.TEXTS[key].format(**values)
