"""The papers as PDF: a job record, a hand-over sheet, labels for trays. Nothing here decides what they say."""

from putback.faces.pdf.papers import PAPERS, paper
from putback.faces.pdf.record import record_pdf
from putback.faces.pdf.setting import NotSet
from putback.faces.pdf.sheets import handover_pdf, labels_pdf

__all__ = ["PAPERS", "NotSet", "handover_pdf", "labels_pdf", "paper", "record_pdf"]
