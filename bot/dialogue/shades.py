"""The client's colours beside those that the shop keeps."""

from collections.abc import Iterator, Sequence

from bot.dialogue.draft import Draft
from bot.dialogue.messages import ShopCard, Swatch
from bot.understanding.stock import Near, kept_as, nearest, nearest_to

# A shop's own shade is the very colour; so near as this nobody tells two apart.
_SAME = 1.0
# Beyond this, in CIEDE2000, a colour is plainly another: pink is no offer for blue.
_FAR = 20.0
_MOST_NEAR = 3
_MOST_OF_A_PICTURE = 4


def near(words: str, unwanted: Sequence[str], shop: ShopCard) -> tuple[Near, ...]:
    """The shop's colours nearest to `words`, where it keeps none of that name; () where it does,
    where the client is not to have them, or where nobody knows the colour."""
    found = nearest(words, shop.colours, shop.aliases, _MOST_NEAR)
    if not found or found[0].distance <= _SAME:
        return ()
    return tuple(one for one in found if one.name not in unwanted and one.distance <= _FAR)


def is_kept(words: str, shop: ShopCard) -> bool:
    """Whether the shop keeps a colour of that name."""
    found = nearest(words, shop.colours, shop.aliases, 1)
    return bool(found) and found[0].distance <= _SAME


def named_as_kept(words: str, shop: ShopCard) -> str:
    """The shop's name for what it calls `words` too; `words` where that is no name of the shop."""
    return kept_as(words, shop.colours, shop.aliases) or words


def first_near(draft: Draft, shop: ShopCard, start: int = 0) -> int | None:
    """The first of the brief's colours, from `start` on, that the shop keeps only nearly."""
    for index, words in enumerate(draft.colours[start:], start):
        if near(words, draft.unwanted, shop):
            return index
    return None


def of_picture(hexes: Sequence[str], unwanted: Sequence[str], shop: ShopCard) -> tuple[str, ...]:
    """The shop's colours nearest to those of a picture, without those that are not wanted."""
    wanted = [shade for shade in shop.colours if shade.name not in unwanted]
    return tuple(one.name for one in nearest_to(hexes, wanted, _MOST_OF_A_PICTURE))


def swatches(names: Sequence[str], shop: ShopCard) -> tuple[Swatch, ...]:
    """The shop's colours of those names, each once."""
    return tuple(
        shade for name in dict.fromkeys(names) for shade in shop.colours if shade.name == name
    )


def unmatched(draft: Draft, shop: ShopCard) -> Iterator[str]:
    """The brief's colours that are like nothing the shop keeps: they are to be matched."""
    if not shop.colours:
        return
    for words in draft.colours:
        if not is_kept(words, shop) and not near(words, (), shop):
            yield words
