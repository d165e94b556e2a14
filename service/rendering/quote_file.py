"""A lead's quote as a file to be saved or printed."""

from service.leads.lead import Quote
from service.leads.ports import Ports
from service.leads.price_books import book_of
from service.leads.words import Words
from service.rendering import quote_document as drawing
from service.rendering.paper import PdfFile, paper_size
from service.workshop.quote_document import Standing, quote_document


def quote_file(
    ports: Ports, quote: Quote, standing: Standing, words: Words, *, paper: str | None
) -> PdfFile:
    """The quote as it stands, on the paper that was asked for or the shop's own."""
    book, today = book_of(ports.price_books, quote), ports.price_books.current()
    said = quote_document(quote, standing, words, book=book, today=today)
    content = drawing.pdf(
        said,
        size=paper_size(today, paper),
        made_at=quote.sent_at or quote.created_at,
        picture=None,
    )
    return PdfFile(name=f"{quote.number} {said.shop}.pdf", content=content)
