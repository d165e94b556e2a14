"""The build sheet and the labels of its bags as PDFs, and its diagrams for a page."""

from service.rendering.build_sheet.document import pdf
from service.rendering.build_sheet.drawing import drawn
from service.rendering.build_sheet.labels import labels_pdf
from service.rendering.build_sheet.svg import svg

__all__ = ["drawn", "labels_pdf", "pdf", "svg"]
