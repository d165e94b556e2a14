"""The parts of a long work, made: documents as files, prices as figures; and a zip of them all."""

import zipfile
from collections.abc import Callable, Iterator, Mapping
from datetime import date

from service.leads.chores import About, Made, Part
from service.leads.lead import NotFound
from service.leads.ports import Ports
from service.leads.repricing import priced_anew
from service.rendering import build_files, day_files, quote_file, shopping_file
from service.rendering.paper import PdfFile
from service.rendering.sheets import Written


def make(ports: Ports, part: Part) -> Made:
    """One part. Raises NotFound where there is nothing to make it of."""
    if part.about is About.PRICE:
        return Made(figures=priced_anew(ports, _lead(part), now=ports.clock()))
    file = _FILES[part.about](ports, part)
    return Made(name=_name(ports, part), document=file.content)


def zipped(ports: Ports, chore_id: str) -> Iterator[bytes]:
    """Every document of a long work in one zip, in parts."""
    out = Written()
    # Documents are compressed already.
    with ports.read() as work, zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, document in work.chores.documents(chore_id):
            archive.writestr(name, document)
            yield out.taken()
    yield out.taken()


def _name(ports: Ports, part: Part) -> str:
    """By day and number, so that a folder of them lies in the order of the jobs."""
    if part.lead_id is None:
        return f"{_day(part)} {part.about.value}.pdf"
    with ports.read() as work:
        lead = work.leads.get(part.lead_id)
    day = f"{lead.brief.event.date} " if lead.brief.event.date else ""
    return f"{day}{lead.number} {part.about.value}.pdf"


def _lead(part: Part) -> str:
    if part.lead_id is None:
        raise NotFound("The request is not there any more.")
    return part.lead_id


def _day(part: Part) -> date:
    if part.day is None:
        raise NotFound("It is of no day.")
    return part.day


_FILES: Mapping[About, Callable[[Ports, Part], PdfFile]] = {
    About.QUOTE: lambda ports, part: quote_file.of_lead(ports, _lead(part), paper=None),
    About.BUILD: lambda ports, part: build_files.sheet_of_lead(ports, _lead(part), paper=None),
    About.LABELS: lambda ports, part: build_files.labels_of_lead(ports, _lead(part), paper=None),
    About.LOAD: lambda ports, part: day_files.load_of_lead(ports, _lead(part), paper=None),
    About.RUN: lambda ports, part: day_files.run_of_day(ports, _day(part), paper=None),
    About.SHOPPING: lambda ports, part: shopping_file.until(ports, _day(part), paper=None),
}
