"""Build sheets and the labels of bags as files to be saved or printed."""

from service.leads.people import PersonRole
from service.leads.ports import Ports
from service.rendering.build_sheet import labels_pdf, pdf
from service.rendering.paper import PdfFile, paper_size
from service.workshop.build_sheet import sheet_of
from service.workshop.papers import Papers, papers_of


def sheet_of_lead(ports: Ports, lead_id: str, *, paper: str | None) -> PdfFile:
    """The owner's build sheet of a request. Raises NotFound where it has no price."""
    return sheet_file(_papers(ports, lead_id), paper=paper)


def labels_of_lead(ports: Ports, lead_id: str, *, paper: str | None) -> PdfFile:
    """The owner's labels for the bags of a request. Raises NotFound where it has no price."""
    return labels_file(_papers(ports, lead_id), paper=paper, public_url=ports.public_url)


def sheet_file(papers: Papers, *, paper: str | None) -> PdfFile:
    """The build sheet, on the paper that was asked for or the shop's own."""
    content = pdf(
        sheet_of(papers),
        shop=papers.book.shop.name,
        made_at=papers.quote.created_at,
        size=paper_size(papers.book, paper),
    )
    return PdfFile(name=f"{papers.lead.number} build sheet.pdf", content=content)


def labels_file(papers: Papers, *, paper: str | None, public_url: str) -> PdfFile:
    """The labels of its bags; where a time is kept, their code leads to the set-up's page."""
    hold = papers.hold
    content = labels_pdf(
        sheet_of(papers),
        shop=papers.book.shop.name,
        made_at=papers.quote.created_at,
        size=paper_size(papers.book, paper),
        link=f"{public_url}/desk/jobs/{hold.id}" if hold else None,
    )
    return PdfFile(name=f"{papers.lead.number} bag labels.pdf", content=content)


def _papers(ports: Ports, lead_id: str) -> Papers:
    now = ports.clock()
    with ports.read() as work:
        return papers_of(work, ports.price_books, lead_id, now=now, role=PersonRole.OWNER)
