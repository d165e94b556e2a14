"""Word lists written as running text, so that they can be read and kept at a glance."""


def listed(text: str) -> frozenset[str]:
    """The words of a text."""
    return frozenset(text.split())
