"""The numbers of an answer, one by one, with where each stands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from pipeline.advice.trace import Step

Key = str | int


@dataclass(frozen=True)
class Number:
    """One number of an answer, or one estimate: where it stands and what stands around it."""

    keys: tuple[Key, ...]
    value: Any
    around: tuple[Any, ...] = ()
    called: str = ""  # what it is a number of, where its place does not say so

    @property
    def path(self) -> str:
        """Its place in the answer, such as ``recipes[0].alcohol``."""
        text = "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in self.keys)
        return text.removeprefix(".")

    @property
    def pattern(self) -> str:
        """Its place without the numbers of list entries."""
        return re.sub(r"\[\d+\]", "[]", self.path)

    @property
    def name(self) -> str:
        """What it is a number of: the last word of its place, if nothing else says so."""
        return self.called or next(str(key) for key in reversed(self.keys) if isinstance(key, str))

    @property
    def single(self) -> float:
        """The number, or the value of the estimate."""
        return float(self.value["value"] if isinstance(self.value, dict) else self.value)

    def said(self, name: str, otherwise: Any = None) -> Any:
        """Return what the nearest part of the answer around it has under a name."""
        for part in reversed(self.around):
            if isinstance(part, dict) and part.get(name) is not None:
                return part[name]
        return otherwise

    def as_answer(self, step: Step) -> Step:
        """Return a step as the one that ends at this number, with its interval."""
        ends = self.value if isinstance(self.value, dict) else {}
        return replace(step, answers=self.path, low=ends.get("low"), high=ends.get("high"))


def numbers_of(
    part: Any, keys: tuple[Key, ...] = (), around: tuple[Any, ...] = ()
) -> Iterator[Number]:
    """Return every number of an answer; an estimate counts as one."""
    if isinstance(part, dict):
        if {"value", "low", "high"} <= part.keys():
            yield Number(keys, part, around)
            return
        for name, inner in part.items():
            yield from numbers_of(inner, (*keys, name), (*around, part))
    elif isinstance(part, list | tuple):
        for at, inner in enumerate(part):
            yield from numbers_of(inner, (*keys, at), (*around, part))
    elif isinstance(part, int | float) and not isinstance(part, bool):
        yield Number(keys, part, around)
