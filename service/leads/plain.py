"""Clients' words as they are shown: nothing in them moves what stands around them."""

_TURNS = dict.fromkeys((*range(0x202A, 0x202F), *range(0x2066, 0x206A)))


def unturned(text: str) -> str:
    """The text without the signs that turn the direction of writing.

    With them "gpj.exe" is read as "exe.jpg", and a price backwards. Languages that are written from
    right to left need none: their letters say so themselves.
    """
    return text if text.isascii() else text.translate(_TURNS)
