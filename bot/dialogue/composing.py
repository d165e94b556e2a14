"""A reply as the message that the client sees."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.dialogue import values
from bot.dialogue.changing import change_buttons
from bot.dialogue.choices import days, size_steps
from bot.dialogue.messages import Button, Message, MessageKind, Swatch
from bot.dialogue.notes import unknown_shapes
from bot.dialogue.questions import Question, example_colours, example_size
from bot.dialogue.readback import colour, colours, foils, read_back
from bot.dialogue.scene import (
    HANDED_OVER,
    HANDS_OVER,
    LONGEST_LABEL,
    THIRD_MISS,
    Reply,
    Scene,
    person_button,
)
from bot.dialogue.shades import near, swatches, unmatched
from bot.dialogue.speaking import LANGUAGES
from bot.dialogue.standings import can_go_back
from bot.dialogue.state import State

# A short remark stands on the question's own line, a longer one on its own.
_SHORT_REMARK = 80
_MOST_SHADES = 3
# So many words of another language are no name of a place.
_PLAINLY_SPOKEN = 5


def message(scene: Scene, reply: Reply, question: Question | None) -> Message:
    """The answer to one act. `question` is the one that is open now."""
    answer = _answer(scene, reply, question, _opening(scene, reply))
    buttons = (*answer.buttons, *_languages(scene, reply))
    # The wire's labels are short.
    cut = tuple(replace(button, label=button.label[:LONGEST_LABEL]) for button in buttons)
    return replace(answer, buttons=cut)


def _answer(scene: Scene, reply: Reply, question: Question | None, opening: str) -> Message:
    # A complaint or a wish for a human is not answered with the next question.
    if scene.heard.act in ("person", "complaint"):
        return Message(kind="say", text=opening, buttons=_contacts(scene, reply))
    if reply.choices:
        return Message(kind="say", text=opening, buttons=reply.choices)
    if reply.lists_changes:
        return _listing_changes(scene, reply, opening)
    if question is not None:
        return _asking(scene, reply, question, opening)
    if reply.state.stage == "readback":
        return _reading_back(scene, reply, opening)
    kind: MessageKind = "working" if reply.submit else "say"
    return Message(kind=kind, text=opening, buttons=tuple(_afterwards(scene, reply)))


def _opening(scene: Scene, reply: Reply) -> str:
    shop, view = scene.shop, scene.view(reply.state)
    said = {
        "shop": shop.name,
        "town": shop.town,
        "owner": shop.owner_name,
        "contact": shop.contact_in(scene.phrases.language),
        "client": reply.state.name,
        "example": example_size(view),
        **reply.values,
    }
    handed_over = HANDED_OVER in scene.state.told
    short = {key: f"{key}.again" if handed_over else key for key in HANDS_OVER}
    texts = (scene.phrases.say(short.get(key, key), **said) for key in reply.spoken)
    return " ".join(texts).strip()


def _contacts(scene: Scene, reply: Reply) -> tuple[Button, ...]:
    """A way to leave a number, for who asked for a person."""
    if "person" not in reply.says or scene.state.phone:
        return ()
    return (Button(label=scene.phrases.say("button.share_contact"), share="contact"),)


def _languages(scene: Scene, reply: Reply) -> Iterator[Button]:
    """The other language, where the client writes it, or at the very beginning."""
    text, lang = scene.heard.text, scene.heard.slots.lang
    other = lang in LANGUAGES and lang != scene.phrases.language
    writes_other = other and len(text.split()) >= _PLAINLY_SPOKEN
    if writes_other or "welcome" in reply.says:
        for code in LANGUAGES:
            if code != scene.phrases.language:
                label = scene.phrases.say(f"language.{code}")
                yield Button(label=label, value=values.language(code))


def _asking(scene: Scene, reply: Reply, question: Question, opening: str) -> Message:
    state, view = reply.state, scene.view(reply.state)
    text = question.text(view)
    if state.misses:
        name = question.name if state.unsure is None else "which_way"
        hint = scene.phrases.say(
            f"hint.{name}", example=example_size(view), colours=example_colours(view)
        )
        text = f"{text} {hint}"
    buttons = [*_readings(scene, state), *_picker(scene, reply, question)]
    buttons += _below(scene, state, question)
    return Message(
        kind="ask",
        text=_joined(opening, text),
        buttons=tuple(buttons),
        asks=question.name,
        swatches=_swatches(scene, state, question),
        edits=scene.message_ref if reply.turns_page or scene.heard.closes else None,
    )


def _readings(scene: Scene, state: State) -> list[Button]:
    """The days that an unclear date may mean."""
    return [
        Button(label=scene.phrases.day(day), value=values.day(state.number, day))
        for day in scene.heard.days
    ]


def _picker(scene: Scene, reply: Reply, question: Question) -> Sequence[Button]:
    """The question's choices, or the page of its picker that was turned to."""
    state, heard = reply.state, scene.heard
    if reply.turns_page and heard.inches:
        return size_steps(state, heard.piece, heard.inches, scene.phrases)
    if reply.turns_page and heard.month:
        return days(state, heard.month, scene.now.date(), scene.phrases)
    if heard.days and question.name == "date":
        return days(state, heard.days[0], scene.now.date(), scene.phrases)
    return question.choices(scene.view(state))


def _below(scene: Scene, state: State, question: Question) -> Iterator[Button]:
    """Under every question: not sure yet, back, and after misses a person."""
    skip = scene.phrases.known(f"button.skip.{question.name}") or scene.phrases.say("button.skip")
    yield Button(label=skip, value=values.skip(state.number, question.name))
    if can_go_back(state) or state.editing:
        yield Button(label=scene.phrases.say("button.back"), value=values.back(state.number))
    yield Button(label=scene.phrases.say("button.more"), value=values.changes(state.number))
    if state.misses >= THIRD_MISS:
        yield person_button(scene, state.number)


def _shown(scene: Scene, names: Sequence[str]) -> tuple[Swatch, ...]:
    """The shop's colours of those names, called as the client would."""
    return tuple(
        replace(swatch, name=colour(swatch.name, scene.phrases))
        for swatch in swatches(names, scene.shop)
    )


def _swatches(scene: Scene, state: State, question: Question) -> tuple[Swatch, ...]:
    if question.name == "palette":
        return _shown(scene, state.palette)
    if question.name == "shade" and state.piece < len(state.draft.colours):
        words = state.draft.colours[state.piece]
        names = [one.name for one in near(words, state.draft.unwanted, scene.shop)]
        return _shown(scene, names)
    return ()


def _joined(opening: str, text: str) -> str:
    if not opening:
        return text
    return f"{opening} {text}" if len(opening) <= _SHORT_REMARK else f"{opening}\n\n{text}"


def _reading_back(scene: Scene, reply: Reply, opening: str) -> Message:
    state, say = reply.state, scene.phrases.say
    text = _whole(scene, state)
    shades = list(_shade_buttons(scene, state))
    buttons = [
        Button(label=say("button.confirm"), value=values.confirm(state.number, state.revision)),
        *shades,
        Button(label=say("button.changes"), value=values.changes(state.number)),
    ]
    if state.misses >= THIRD_MISS:
        buttons.append(person_button(scene, state.number))
    if scene.shop.privacy_url:
        # The client's yes is a yes to this as well.
        address = f"{scene.shop.privacy_url}?lang={scene.phrases.language}"
        buttons.append(Button(label=say("button.privacy"), url=address))
    return Message(
        kind="readback",
        text=f"{opening}\n\n{text}" if opening else text,
        buttons=tuple(buttons),
        swatches=_shown(scene, list(_near_names(scene, state))),
        edits=scene.message_ref if scene.heard.closes else None,
    )


def _whole(scene: Scene, state: State, *, asks: bool = True) -> str:
    return read_back(
        state.draft,
        currency=scene.shop.currency,
        phrases=scene.phrases,
        beside=list(_beside(scene, state)),
        asks=asks,
    )


def _beside(scene: Scene, state: State) -> Iterator[str]:
    """What the brief leaves to be matched, or to the owner."""
    phrases, draft = scene.phrases, state.draft
    for _, words, names in _nearly_kept(scene, state):
        shown = colours(names, phrases)
        yield phrases.say("readback.near", colour=colour(words, phrases), near=shown)
    odd = list(unmatched(draft, scene.shop))
    if odd:
        yield phrases.say("readback.unmatched", colours=colours(odd, phrases))
    shapes = unknown_shapes(draft, scene.shop)
    if shapes:
        shown = foils(shapes, phrases)
        yield phrases.say("readback.shapes", shapes=shown, owner=scene.shop.owner_name)


def _nearly_kept(scene: Scene, state: State) -> Iterator[tuple[int, str, list[str]]]:
    """The brief's colours that the shop keeps only nearly, each with the nearest ones."""
    for index, words in enumerate(state.draft.colours):
        names = [one.name for one in near(words, state.draft.unwanted, scene.shop)]
        if names:
            yield index, words, names


def _near_names(scene: Scene, state: State) -> Iterator[str]:
    for _, _, names in _nearly_kept(scene, state):
        yield from names


def _shade_buttons(scene: Scene, state: State) -> Iterator[Button]:
    """One tap takes a shade: any of the nearest for one colour, the nearest for each of several."""
    found = list(_nearly_kept(scene, state))[:_MOST_SHADES]
    stock = [swatch.name for swatch in scene.shop.colours]
    for index, words, names in found:
        for name in names if len(found) == 1 else names[:1]:
            shade, asked = colour(name, scene.phrases), colour(words, scene.phrases)
            yield Button(
                label=_capital(scene.phrases.say("button.shade", shade=shade, colour=asked)),
                value=values.shade(state.number, index, stock.index(name)),
            )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _listing_changes(scene: Scene, reply: Reply, opening: str) -> Message:
    """What can be changed, in the place of the message that it was asked for under."""
    state = reply.state
    text = _whole(scene, state, asks=False) if state.stage == "readback" else ""
    return Message(
        kind="readback" if text else "say",
        text=f"{text}\n\n{opening}" if text else opening,
        buttons=change_buttons(state, scene.phrases),
        edits=scene.message_ref if scene.heard.act == "changes" else None,
    )


def _afterwards(scene: Scene, reply: Reply) -> Iterator[Button]:
    """What may be pressed once the brief is with the shop and nothing is being asked."""
    state, say = reply.state, scene.phrases.say
    if state.another and state.stage in ("new", "sent"):
        yield Button(label=say("button.other_event"), value=values.other(state.number))
    if state.dropped is not None and scene.heard.act == "cancel":
        yield Button(label=say("button.resume"), value=values.resume(state.number))
    if state.stage == "sent" and scene.heard.act in _OFFERS_MORE:
        yield Button(label=say("button.changes"), value=values.changes(state.number))
        yield Button(label=say("button.restart"), value=values.restart(state.number))
        yield person_button(scene, state.number)


_OFFERS_MORE = frozenset({"start", "unclear", "help", "stale", "back", "again", "status"})
