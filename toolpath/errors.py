"""Errors a person sees: one message each, and the exit code that goes with it.

HalfsectionError (ValueError)      exit 1   the job or another input is bad
├── BadInput                                a value, with its place and what would be right
├── CannotMake                              a sound job that this shop can not make, with the reason
└── ProofRefused                   exit 3   the program was proven wrong and is not written
"""

from __future__ import annotations


class HalfsectionError(ValueError):
    """Base of every error that is meant for a person; `str()` is the whole message."""

    exit_code = 1


class BadInput(HalfsectionError):
    """A value that can not be used.

    what:  what is wrong, with the figure or word that was read
    where: the key path inside the file (`part.outside[2].radius`), or a line, or empty
    right: what would be right, or empty
    file:  the file, as the person named it, or empty
    line:  line number from 1, or 0 when unknown
    """

    def __init__(self, what: str, *, where: str = "", right: str = "", file: str = "", line: int = 0) -> None:
        self.what, self.where, self.right, self.file, self.line = what, where, right, file, line
        super().__init__(what)

    def at(self, *, file: str = "", line: int = 0, where: str = "") -> BadInput:
        """The same error with its place filled in where it was still unknown."""
        return BadInput(
            self.what,
            where=self.where or where,
            right=self.right,
            file=self.file or file,
            line=self.line or line,
        )

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.file and self.line else self.file
        head = ": ".join(p for p in (place, self.where) if p)
        text = f"{head}: {self.what}" if head else self.what
        return f"{text}. {self.right}" if self.right else text


class CannotMake(HalfsectionError):
    """A sound job that can not be made with this machine, rack or bar; the message says why."""


class ProofRefused(HalfsectionError):
    """The proof found a fault that stops the program."""

    exit_code = 3
