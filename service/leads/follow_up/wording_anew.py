"""The owner words a text anew, or goes back to the shipped one."""

from datetime import datetime

from service.leads.follow_up.texts import TEXTS, Text, faults_of, in_braces
from service.leads.lead import LeadError, NotFound
from service.leads.own_texts import OwnText
from service.leads.ports import Ports, UnitOfWork


class TextRefused(LeadError):
    """The owner's words cannot take a text's place; `faults` say why."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__(" ".join(faults))
        self.faults = faults


def text_of(key: str, language: str, ports: Ports) -> Text:
    """A text that can be worded anew. Raises NotFound for one that nobody says."""
    if key not in TEXTS or language not in ports.wording.languages:
        raise NotFound("There is no such text.")
    return TEXTS[key]


def word_anew(
    work: UnitOfWork, ports: Ports, *, key: str, language: str, text: str, now: datetime
) -> None:
    """Say it in the owner's words from now on. Raises NotFound or TextRefused."""
    said = "\n".join(text.strip().splitlines())
    faults = faults_of(text_of(key, language, ports), said)
    if faults:
        raise TextRefused(faults)
    work.texts.put(OwnText(key=key, language=language, text=said, changed_at=now))


def back_to_shipped(work: UnitOfWork, ports: Ports, *, key: str, language: str) -> None:
    """Say it as it was shipped again. Raises NotFound."""
    text_of(key, language, ports)
    work.texts.remove(key, language)


def shipped(text: Text, language: str, ports: Ports) -> str:
    """What it says where the owner has not worded it anew, with its placeholders in braces."""
    behind = ports.wording.as_shipped(language).translations
    return in_braces(behind.gettext(text.english))
