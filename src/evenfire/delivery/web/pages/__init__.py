"""The routes, one module a page."""
