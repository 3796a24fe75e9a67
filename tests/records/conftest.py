"""The frozen store is opened on a server too."""

from tests.delivery.conftest import database_server

__all__ = ["database_server"]
