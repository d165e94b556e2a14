"""The picture that goes with a price: where it is, what it shows, what is said beside it."""

from textwrap import shorten

from service.leads.lead import Quote
from service.leads.messages import Picture
from service.leads.picture_words import alt_text
from service.leads.words import Words

# Who has it read out hears a minute of that; and it is a caption where a price is too long for one.
_LONGEST = 900


def picture_of(quote: Quote, words: Words, *, url: str) -> Picture:
    """The picture of a quote that goes out; `url` is the address of its page.

    It stays that quote's, whatever is sent later.
    """
    return Picture(
        url=f"{url}/picture.png?of={quote.number}",
        page_url=f"{url}/picture.webp?of={quote.number}",
        alt=alt_of(quote, words),
    )


def alt_of(quote: Quote, words: Words) -> str:
    """What the picture shows, for those who do not see it."""
    shown = shorten(alt_text(quote.brief, quote.estimate, words), _LONGEST, placeholder="…")
    missing = stand_ins(quote)
    if not missing:
        return shown
    said = words.say("Drawn in a stand-in shade: %(colors)s.", colors=words.colours(missing))
    return f"{shown} {said}"


def stand_ins(quote: Quote) -> tuple[str, ...]:
    """The colours of a quote that the shop does not keep, which therefore are drawn by guess."""
    fields = {each.field for each in quote.estimate.assumptions}
    return tuple(
        wanted.colour
        for index, wanted in enumerate(quote.brief.palette)
        if f"palette[{index}]" in fields
    )


def stand_in_note(quote: Quote, owner: str, words: Words) -> str:
    """Which colours in the picture are not the real ones, in a sentence; empty where all are."""
    missing = stand_ins(quote)
    if not missing:
        return ""
    return words.say(
        "We don't keep %(colors)s in stock, so the picture shows a stand-in: %(owner)s will see to "
        "the right shade.",
        colors=words.colours(missing),
        owner=owner,
    )


def caption(words: Words) -> str:
    """What has to be said beside every picture."""
    return words.say("An impression: every garland is tied by hand, so yours will differ a little.")
