"""The build sheet of a request."""

from service.workshop.build_sheet.sheet import build_sheet
from service.workshop.build_sheet.values import BuildSheet
from service.workshop.papers import Papers


def sheet_of(papers: Papers) -> BuildSheet:
    """What to make for the quote; of its event and place, what is known by now."""
    return build_sheet(
        papers.quote.brief,
        papers.quote.estimate,
        papers.book,
        number=papers.lead.number,
        latest=papers.lead.brief,
        leaves_at=papers.hold.stay.leaves_at if papers.hold else None,
    )
