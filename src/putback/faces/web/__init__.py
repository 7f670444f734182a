"""The web face: server pages for the desk, the bay page for the wing, and the API between them."""

from putback.faces.web.server import make_app

__all__ = ["make_app"]
