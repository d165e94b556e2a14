"""A lead's quote as a file to be saved or printed."""

from dataclasses import replace

from service.estimating import PriceBook
from service.leads.lead import NotFound, Quote
from service.leads.pictures import alt_of, caption
from service.leads.ports import Ports
from service.leads.price_books import book_of
from service.leads.words import Words
from service.rendering import picture
from service.rendering import quote_document as drawing
from service.rendering.paper import PdfFile, legible, paper_size
from service.rendering.shelf import Shelf
from service.workshop.quote_document import Standing, quote_document, standing_of

# Some 0.4 MB each, with the picture.
_shelf = Shelf(most=24, waiting=8)


def of_lead(ports: Ports, lead_id: str, *, paper: str | None) -> PdfFile:
    """What the client was sent last, or the draft of it, in the client's language.

    Raises NotFound where there is nothing of the kind, or nothing any more.
    """
    with ports.read() as work:
        lead = work.leads.get(lead_id)
        words = ports.wording.in_language(lead.language)
        quote = work.quotes.latest(lead_id, sent=True) or work.quotes.latest(lead_id)
        standing = standing_of(work, ports, lead, language=words.language)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    if lead.erased_at is not None:
        raise NotFound("The client's data was erased, and what the quote said with it.")
    return quote_file(ports, quote, standing, words, paper=paper)


def quote_file(
    ports: Ports, quote: Quote, standing: Standing, words: Words, *, paper: str | None
) -> PdfFile:
    """The quote as it stands, on the paper that was asked for or the shop's own."""
    book, today = book_of(ports.price_books, quote), ports.price_books.current()
    # A letter that begins with a name in odd boxes is worse than one without.
    named = replace(standing, addressee=legible(standing.addressee or "") or None)
    said = quote_document(quote, named, words, book=book, today=today)
    made_at, shown = quote.sent_at or quote.created_at, _impression(quote, book, words)
    size = paper_size(today, paper)
    # What says the same need not be set again: whoever has the link may ask for it often.
    content = _shelf.get(
        (said, size, made_at, shown),
        lambda: drawing.pdf(said, size=size, made_at=made_at, picture=shown),
    )
    return PdfFile(name=f"{quote.number} {said.shop}.pdf", content=content)


def _impression(quote: Quote, book: PriceBook, words: Words) -> drawing.Impression | None:
    try:
        data = picture.of_quote(quote, book, words, picture.Format.JPEG)
    except picture.NoPicture:
        return None
    return drawing.Impression(data=data, alt=alt_of(quote, words), caption=caption(words))
