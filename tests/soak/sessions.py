"""A screen's session without a browser: what a page of the app is told, and what a person does on it.

Speaks what a browser speaks with the screens: asks for a page, sends what was typed, and reads the page that comes
back until it is written whole. Parts of a page that write themselves again after a while are asked for as a browser
would, so that the server has the work of real tablets, and this machine not that of their browsers.
"""

from __future__ import annotations

import asyncio
import json
import time
from types import TracebackType
from typing import Any, Literal, Self

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection, connect

LONGEST_S = 60.0
LOOK = "look_again"
"""The part of our pages that has the browser ask again for a part of the page after a while."""
TRIGGER = "$$STREAMLIT_INTERNAL_KEY_"
WRITTEN = (ForwardMsg.FINISHED_SUCCESSFULLY, ForwardMsg.FINISHED_FRAGMENT_RUN_SUCCESSFULLY)
LARGEST = 64 * 2**20
"""The largest message taken, in bytes."""


class Session:
    """One tablet on one page of a job; raises RuntimeError for a page that says a fault."""

    def __init__(self, address: str, page: str, job_id: str) -> None:
        """Take the address as http://host:port, the page's name in the address, and the job."""
        self.address, self.page, self.query = address, page, f"job={job_id}"
        self.ids: dict[str, str] = {}
        """Fields and buttons of the page by what stands on them."""
        self.told = 0
        """Pages and parts of pages written so far. On a busy server the end of a page and of a part come as one."""
        self.bytes_read = 0
        self.said: list[bytes] = []
        """What came since the last question."""
        self.alerts: list[str] = []
        """The messages among it, as a person reads them."""
        self._stands: dict[str, str] = {}
        """What stands in the boxes that were typed in, which a browser says again every time."""
        self._line: ClientConnection
        self._parts: dict[str, asyncio.Task[None]] = {}

    async def __aenter__(self) -> Self:
        """Open the line and wait for the first page."""
        at = f"ws{self.address.removeprefix('http')}/_stcore/stream"
        self._line = await connect(at, subprotocols=["streamlit"], max_size=LARGEST, compression=None)
        await self.ask({})
        return self

    async def __aexit__(self, kind: type[BaseException] | None, error: BaseException | None,
                        trace: TracebackType | None) -> None:
        """Close the line, as a closed tab does."""
        self._forget()
        await self._line.close()

    async def ask(self, typed: dict[str, str | Literal[True]], answer: str = "", longest_s: float = LONGEST_S) -> float:
        """Send what was typed, by labels; return the seconds until a page with the answer on it is written whole.

        A page that was on its way already does not count, so the answer is words that only the new page has.
        Raises RuntimeError where it does not come in time.
        """
        question = BackMsg()
        state = question.rerun_script
        state.query_string, state.page_name = self.query, self.page
        state.context_info.url = f"{self.address}/{self.page}?{self.query}"
        self._stands.update({self.ids[label]: text for label, text in typed.items() if isinstance(text, str)})
        self._say_all(state)
        for label in (label for label, value in typed.items() if not isinstance(value, str)):
            state.widget_states.widgets.add(id=self.ids[label], trigger_value=True)
        self.said, self.alerts = [], []
        began = time.monotonic()
        await self._line.send(question.SerializeToString())
        try:
            async with asyncio.timeout(longest_s):
                while not self._says(answer):
                    await self._read()
                before = self.told
                while self.told == before:
                    await self._read()
        except TimeoutError:
            told = f"the page does not say {answer!r} within {longest_s:g} s; it says {self.alerts}"
            raise RuntimeError(told) from None
        return time.monotonic() - began

    def _say_all(self, state: Any) -> None:
        for name, text in self._stands.items():
            state.widget_states.widgets.add(id=name, string_value=text)

    async def rest(self, seconds: float) -> None:
        """Let time go by, reading what the page is told meanwhile."""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            try:
                await asyncio.wait_for(self._read(), left)
            except TimeoutError:
                return

    async def _read(self) -> None:
        raw = await self._line.recv()
        data = raw if isinstance(raw, bytes) else raw.encode()
        self.bytes_read += len(data)
        message = ForwardMsg()
        message.ParseFromString(data)
        kind = message.WhichOneof("type")
        if kind == "new_session" and not message.metadata.run.fragment_ids:
            self._forget()
        elif kind == "auto_rerun":
            self._later(message.auto_rerun.interval, message.auto_rerun.fragment_id)
        elif kind == "delta":
            self.said.append(data)
            self._learn(message.delta.new_element, message.delta.fragment_id)
        elif kind == "script_finished" and message.script_finished in WRITTEN:
            self.told += 1

    def _says(self, words: str) -> bool:
        return any(words.encode() in part for part in self.said) or any(words in one for one in self.alerts)

    def _learn(self, element: Any, part: str) -> None:
        """Note fields and buttons, and looks back that the page asks for; raise where it says a fault."""
        kind = element.WhichOneof("type")
        if kind in ("text_input", "button"):
            found = getattr(element, kind)
            self.ids[found.label] = found.id
        elif kind == "alert":
            self.alerts.append(element.alert.body.replace("\\", ""))
        elif kind == "bidi_component" and element.bidi_component.component_name.endswith(LOOK):
            data = json.loads(element.bidi_component.json or element.bidi_component.mixed.json)
            self._later(data["after_ms"] / 1000.0, part, element.bidi_component.id, data["number"])
        elif kind == "exception":
            raise RuntimeError(f"the page says: {element.exception.message}")

    def _later(self, after_s: float, part: str, look: str = "", number: int = 0) -> None:
        """Ask again for a part of the page after a while: once for a ``look`` of its own, else for good."""
        async def again() -> None:
            while True:
                await asyncio.sleep(after_s)
                question = BackMsg()
                state = question.rerun_script
                state.query_string, state.page_name, state.fragment_id = self.query, self.page, part
                self._say_all(state)
                if look:
                    told = json.dumps([{"event": "look", "value": number}])
                    state.widget_states.widgets.add(id=f"{TRIGGER}{look}__events", json_trigger_value=told)
                else:
                    state.is_auto_rerun = True
                await self._line.send(question.SerializeToString())
                if look:
                    return
        self._forget(part)
        self._parts[part] = asyncio.get_running_loop().create_task(again())

    def _forget(self, *parts: str) -> None:
        for part in parts or tuple(self._parts):
            if part in self._parts:
                self._parts.pop(part).cancel()
