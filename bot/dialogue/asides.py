"""Questions beside the plan, from the owner's own answers."""

from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrases
from bot.understanding import Slots
from bot.understanding.topics import topics_in

_MOST_TOPICS = 2


def topics_answered(text: str, slots: Slots, shop: ShopCard) -> tuple[str, ...]:
    """What `text` asks about that the shop has an answer to."""
    if not shop.answers or not ("?" in text or slots.intent == "question"):
        return ()
    asked = [topic for topic in topics_in(text) if any(shop.answers.get(topic, {}).values())]
    if "unsafe_release" in slots.flags:
        # "Yes, outdoors works" is no answer to who would let balloons go there.
        asked = [topic for topic in asked if topic != "outdoors"]
    if "lasting" in asked and len(asked) > _MOST_TOPICS:
        # How long it lasts is told for indoors and outdoors alike.
        asked = [topic for topic in asked if topic != "outdoors"]
    return tuple(asked[:_MOST_TOPICS])


def answers(topics: tuple[str, ...], shop: ShopCard, phrases: Phrases) -> str:
    """The owner's answers, in the client's language where there is one in it."""
    told = [shop.answers[topic] for topic in topics]
    return " ".join(one.get(phrases.language) or next(filter(None, one.values())) for one in told)
