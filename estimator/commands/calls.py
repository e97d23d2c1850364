"""Mistakes in a call of the program, which the library finds, in the words of the catalog."""

import re
from collections.abc import Iterable
from typing import Any

from estimator.errors import Fault
from estimator.names import nearest
from geometry.message import message

PROGRAM = "cast-estimator"


def answer_to(error: Any) -> list[str]:
    """Lines on a call that the command line library refused: the help where no command is named, else one fault."""
    if type(error).__name__ == "NoArgsIsHelpError":
        return str(error.message).rstrip().splitlines()
    return [str(_fault(error))]


def _fault(error: Any) -> Fault:
    """What is wrong with a call, from the error of the command line library, by its class and what it holds.

    The library keeps the value of an option and words too many in its sentence alone.
    """
    kind, said = type(error).__name__, " ".join(str(error.format_message()).split())
    context = getattr(error, "ctx", None)
    option = getattr(error, "option_name", "")
    parameter, command = getattr(error, "param", None), context.command_path if context is not None else PROGRAM
    if kind == "NoSuchOption":
        return Fault(PROGRAM, option, message("call-option-unknown", nearest=nearest(option, _options(context))))
    if kind == "BadOptionUsage":
        return Fault(PROGRAM, option, message("call-option-no-value" if "not take" in said else "call-option-value"))
    if kind == "MissingParameter" and parameter is not None:
        return Fault(PROGRAM, _name(parameter), message("call-missing", command=command))
    reader: Any = getattr(getattr(parameter, "type", None), "func", None)  # of a whole number
    if reader is not None and hasattr(reader, "least"):
        bounds = {"least": str(reader.least), "most": str(reader.most or "none")}
        return Fault(PROGRAM, _name(parameter), message("call-number", value=str(error.message), **bounds))
    if match := re.search(r"No such command '(.*?)'\.", said):
        return Fault(PROGRAM, "", message("call-command", name=match[1], nearest=nearest(match[1], _commands(context))))
    if match := re.search(r"unexpected extra arguments?(?:\(s\))? \((.*)\)", said):
        return Fault(PROGRAM, "", message("call-too-many", words=match[1], command=command))
    return Fault(PROGRAM, "", message("call-refused", reason=said.rstrip("."), command=command))


def _name(parameter: Any) -> str:
    """The longest name of an option, or what stands for an argument in its usage."""
    options = [name for name in parameter.opts if name.startswith("-")]
    return max(options, key=len) if options else str(parameter.make_metavar(None)).strip("{}[]").split()[0]


def _options(context: Any) -> Iterable[str]:
    names = (name for parameter in context.command.params for name in (*parameter.opts, *parameter.secondary_opts))
    return [name for name in names if name.startswith("-")]


def _commands(context: Any) -> Iterable[str]:
    return list(getattr(context.command, "commands", {}))
