"""Server-sent events (HTML Living Standard, 9.2): the whole state at once, then each newer one."""

from __future__ import annotations

import asyncio

from starlette.types import Receive, Scope, Send

from tether.second_screen.hub import Hub, Mailbox

# A screen that hears nothing for three times as long says so: see `page/screen.js`.
BEAT_S = 2.0
# Longer than any network's hiccup; whoever does not read for so long gets nothing more.
STALLED_S = 15.0


class Events:
    """A response that ends when the screen goes, stops reading, or is told to."""

    def __init__(self, hub: Hub, box: Mailbox) -> None:
        self._hub, self._box = hub, box

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send until the end."""
        del scope
        gone = asyncio.create_task(_gone(receive))
        gone.add_done_callback(lambda _: self._box.end())
        try:
            await send(
                {
                    "type": "http.response.start",
                    "status": 200,
                    "headers": [(b"content-type", b"text/event-stream; charset=utf-8")],
                }
            )
            await _sent(send, b"retry: 1000\n\n")
            while not self._box.ended:
                state = await self._box.take(BEAT_S)
                if state is not None:
                    await _sent(send, b"event: state\ndata: " + state + b"\n\n")
                elif not self._box.ended:
                    await _sent(send, b"event: beat\ndata: \n\n")
            await _sent(send, b"", more=False)
        except TimeoutError:
            pass  # its connection is cut by `connections`
        finally:
            gone.cancel()
            self._hub.close(self._box)


async def _sent(send: Send, body: bytes, *, more: bool = True) -> None:
    message = {"type": "http.response.body", "body": body, "more_body": more}
    await asyncio.wait_for(send(message), STALLED_S)


async def _gone(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass
