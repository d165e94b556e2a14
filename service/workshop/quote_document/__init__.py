"""What a quote says, as values: the same words for its page and for paper. Pure."""

from service.workshop.quote_document.case import Standing
from service.workshop.quote_document.gathering import standing_of
from service.workshop.quote_document.pieces import ColourRow, PieceView, piece_views
from service.workshop.quote_document.saying import quote_document
from service.workshop.quote_document.totals import Totals
from service.workshop.quote_document.values import Conditions, Costs, QuoteDocument, Section, Titles

__all__ = [
    "ColourRow",
    "Conditions",
    "Costs",
    "PieceView",
    "QuoteDocument",
    "Section",
    "Standing",
    "Titles",
    "Totals",
    "piece_views",
    "quote_document",
    "standing_of",
]
