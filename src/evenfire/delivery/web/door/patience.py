"""The protocol on a connection, with an end to waiting for a request that does not come whole."""

import asyncio
from typing import Any, Final

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

ASSUMED_PATIENCE: Final = 20.0
"""From a connection, or the first byte on it, to the last line of a request's head. A telephone that finds its link
again sends anew; whoever opens a thousand connections and says nothing holds them no longer [s]."""


class PatientProtocol(H11Protocol):
    """Closes a connection whose request does not come."""

    patience = ASSUMED_PATIENCE

    def __init__(
        self,
        config: Config,
        server_state: ServerState,
        app_state: dict[str, Any],
        _loop: asyncio.AbstractEventLoop | None = None,
    ) -> None:
        super().__init__(config, server_state, app_state, _loop)
        self._waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A connection, on which nothing was said yet."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """More of a request; once its head is whole, the body is waited for elsewhere."""
        super().data_received(data)
        if self.conn.their_state is h11.IDLE:
            self._wait()
        else:
            self._be_calm()

    def connection_lost(self, exc: Exception | None) -> None:
        """The other side has gone."""
        self._be_calm()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._waiting is None:
            self._waiting = self.loop.call_later(self.patience, self._give_up)

    def _be_calm(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _give_up(self) -> None:
        self._waiting = None
        if self.conn.their_state is h11.IDLE and not self.transport.is_closing():
            self.transport.close()
