"""The lines of a file, found in its bytes and turned into text only where somebody looks at them.

A long file has millions of lines, of which a few must be looked at by hand.
"""

from collections.abc import Sequence
from functools import cached_property
from typing import overload

import numpy as np

from pipeline.logbook.decoding import Decoded

LINE_FEED = 10
BLOCK = 1 << 24  # [bytes] looked at together, so that the positions stay in memory


class Lines(Sequence[str]):
    """The lines of a file as a text editor counts them, without their ends.

    Parameters
    ----------
    data : bytes
        The whole file.
    decoded : Decoded
        The same as text.

    Attributes
    ----------
    body : bytes or memoryview
        The file in UTF-8, every line end a line feed.
    is_whole : bool
        Whether every letter could be read.
    """

    def __init__(self, data: bytes, decoded: Decoded) -> None:
        self.is_whole = decoded.is_whole
        is_utf8 = decoded.codec == "utf-8"
        # What could not be read stands as lone surrogates in the text; they must come back as such.
        self._errors = "surrogateescape" if is_utf8 else "surrogatepass"
        body = data[len(decoded.mark) :] if is_utf8 else decoded.text.encode(errors=self._errors)
        if b"\r" in body:
            body = body.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        self.body = body

    @cached_property
    def letters(self) -> np.ndarray:
        """The bytes of the body, as numbers."""
        return np.frombuffer(self.body, dtype=np.uint8)

    @cached_property
    def ends(self) -> np.ndarray:
        """Where each line ends: the place of its line feed, or the end of the file."""
        parts = [
            np.flatnonzero(self.letters[at : at + BLOCK] == LINE_FEED) + at
            for at in range(0, len(self.letters), BLOCK)
        ]
        if len(self.letters) and self.letters[-1] != LINE_FEED:
            parts.append(np.array([len(self.letters)]))
        return np.concatenate(parts) if parts else np.empty(0, dtype=np.int64)

    @cached_property
    def starts(self) -> np.ndarray:
        """Where each line begins."""
        return np.concatenate(([0], self.ends[:-1] + 1)) if len(self.ends) else self.ends

    def __len__(self) -> int:
        return len(self.ends)

    @overload
    def __getitem__(self, at: int) -> str: ...
    @overload
    def __getitem__(self, at: slice) -> list[str]: ...
    def __getitem__(self, at: int | slice) -> str | list[str]:
        """Return one line, or some, as text."""
        if isinstance(at, slice):
            return [self[one] for one in range(*at.indices(len(self)))]
        return self.body[self.starts[at] : self.ends[at]].decode(errors=self._errors)

    def near_the_top(self, at: int) -> str:
        """Return one of the first lines, without looking for the others."""
        start = 0
        for _ in range(at):
            start = self.body.find(b"\n", start) + 1
        end = self.body.find(b"\n", start)
        return self.body[start : end if end >= 0 else None].decode(errors=self._errors)

    def is_readable(self, at: int) -> bool:
        """Whether every letter of a line could be read."""
        try:
            self.body[self.starts[at] : self.ends[at]].decode()
        except UnicodeDecodeError:
            return False
        return True
