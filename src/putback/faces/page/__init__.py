"""The plan as one self-contained HTML page."""

from putback.faces.page.page import plan_page

__all__ = ["plan_page"]
