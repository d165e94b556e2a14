"""How a reason says where its figures come from."""

BRIEF = "the brief"
OWN_RECORD = "the shop's own record of finished jobs"
PRODUCT = "quantity × rate = amount"
"""Each input of a reason with this formula is such a product, exactly, by the line's path."""


def price_book(*keys: str) -> str:
    """Where in the owner's file: keys with dots between, those of a list's entries without place.

    "price book: labour.wage, sizes.sized_in".
    """
    return f"price book: {', '.join(keys)}"
