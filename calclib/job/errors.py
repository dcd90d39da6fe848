"""The errors of one job file, collected so that all of them are reported together."""

from __future__ import annotations

from collections.abc import Sequence

from calclib.errors import InputError, message

# Nobody reads more, and each one costs the time of a search for what was meant.
MOST_MESSAGES = 100


class JobError(InputError):
    """A job file that cannot be used.

    Attributes
    ----------
    messages : tuple of str
        One for everything that is wrong with it, in the order in which it was found.
    """

    def __init__(self, messages: Sequence[str]) -> None:
        super().__init__("\n".join(messages))
        self.messages = tuple(messages)


class TooManyErrors(Exception):
    """Reading stops: there is enough to mend."""


class Errors:
    """Takes down what is wrong with a file, one message each.

    Attributes
    ----------
    messages : list of str
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.messages: list[str] = []

    def add(self, place: str, needs: str, got: str, do: str) -> None:
        """Take down an error by its four parts; see `calclib.errors.message`."""
        self.say(message(f"{self.file}, {place}", needs, got, do))

    def say(self, text: str) -> None:
        """Take down an error that is a message already.

        Raises
        ------
        TooManyErrors
            When this was the last one that is taken down.
        """
        self.messages.append(text)
        if len(self.messages) == MOST_MESSAGES:
            self.messages.append(
                f"{self.file}: there may be more than these {MOST_MESSAGES} errors. "
                "Mend them first."
            )
            raise TooManyErrors
