"""The command `cast-estimator`, and `python -m estimator`: one line per problem, and a documented exit status."""

import codecs
import gc
import io
import os
import signal
import sys
import unicodedata
from collections.abc import Iterable, Sequence
from contextlib import suppress
from errno import EPIPE

DONE, PROGRAM_AT_FAULT, INPUT_AT_FAULT, STOPPED = 0, 1, 2, 130
BY_SIGNAL = 128
"""Added to the number of the signal that ended a run, as shells do."""


class EndedError(BaseException):
    """The system, or a terminal that is closed, ends the run. Not an `Exception`, so that nothing holds it up."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command line and exit.

    Exit status: 0 done; 1 a bug of the program; 2 a fault of the input or the call, or an error of the operating
    system; 130, 143 or 129 stopped by Ctrl-C, by the system or because the terminal was closed.

    The process ends without cleaning up, because freeing the results of a long job object by object takes an eighth of
    the time.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=PLAINER)
    _stop_on_signals()
    status = run(sys.argv[1:] if arguments is None else arguments)
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):  # a closed pipe, or output that is no file
            stream.flush()
    os._exit(status)


def _stop_on_signals() -> None:
    """Let the system, or a terminal that is closed, stop a run as Ctrl-C does, so that it removes what it began."""

    def stop(number: int, _: object) -> None:
        raise EndedError(number)

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) == signal.SIG_DFL:  # nohup ignores SIGHUP
            signal.signal(number, stop)


PLAINER = "plainer"
"""Name of the error handler for characters that a console cannot encode: see `_plainer`."""

NEAR_SIGNS = str.maketrans(
    {"–": "-", "—": "-", "−": "-", "×": "x", "·": ".", "…": "...", "≤": "<=", "≥": ">=", "‘": "'", "’": "'"}
    | {"“": '"', "”": '"', "„": '"', "→": "->", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "°": " deg ", "€": "EUR"}
)


def _plainer(error: UnicodeError) -> tuple[str, int]:
    """Error handler that replaces characters that a console cannot encode with similar ASCII ones."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    near = error.object[error.start : error.end].translate(NEAR_SIGNS)
    plain = "".join(sign for sign in unicodedata.normalize("NFKD", near) if not unicodedata.combining(sign))
    return plain.encode("ascii", "replace").decode("ascii"), error.end


codecs.register_error(PLAINER, _plainer)


def run(arguments: Sequence[str]) -> int:
    """Run one command line and return its exit status. Only results go to standard output."""
    try:
        status = _run(arguments)
        sys.stdout.flush()
    except KeyboardInterrupt:
        status = STOPPED
    except EndedError as end:
        status = BY_SIGNAL + int(end.args[0])
    except OSError as error:
        _drop_output()
        if error.errno == EPIPE:
            return DONE
        reason = str(error.strerror or error)
        if error.filename:
            _say("machine-refused-file", file=str(error.filename), reason=reason)
        else:
            _say("machine-refused", reason=reason)
        return INPUT_AT_FAULT
    if status > BY_SIGNAL:
        with suppress(OSError):  # the terminal is gone
            _say("run-stopped")
    return status


def _run(arguments: Sequence[str]) -> int:
    """Run one command line. Raises OSError for errors of the operating system, and if standard output was closed."""
    # An estimate makes hundreds of thousands of small results that all live to its end: looking for garbage among them
    # every 700th time is a fifth of the work. To import the modules alone makes 100,000.
    gc.set_threshold(200_000, 20, 1_000)
    import typer

    # Pydantic looks for its plug-ins in every package that is installed. None is used here.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # The matrices are small: threads for them take a tenth of a second to start and never pay.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from estimator.cli import app, with_limits_first
    from estimator.errors import InputError

    # All errors of the call derive from the base class of BadParameter, which has no public name.
    call_error: type[Exception] = typer.BadParameter.__mro__[1]
    try:
        status = app(args=with_limits_first(arguments), prog_name="cast-estimator", standalone_mode=False)
    except InputError as error:
        _tell(str(fault) for fault in error.faults)
        return INPUT_AT_FAULT
    except call_error as error:
        from estimator.commands.calls import answer_to

        _tell(answer_to(error))
        return INPUT_AT_FAULT
    except typer.Abort:
        return STOPPED
    except OSError:
        raise
    except SystemExit as stop:  # raised by typer if standard output was closed
        if isinstance(stop.__context__, OSError):
            raise stop.__context__ from None
        raise
    except Exception as error:
        if os.environ.get("CAST_ESTIMATOR_DEBUG"):
            raise
        refusal = getattr(error, "orig", None)  # of a database; its library is not imported for this alone
        if refusal is not None:
            _say("machine-refused", reason=str(refusal).strip().partition("\n")[0].capitalize())
            return INPUT_AT_FAULT
        _say("internal-error", kind=type(error).__name__, reason=_one_line(error))
        return PROGRAM_AT_FAULT
    return status if isinstance(status, int) else DONE


def _drop_output() -> None:
    """Redirect standard output to nowhere, so that flushing it at exit does not fail again."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.__stdout__.fileno() if sys.__stdout__ else 1)
    except (OSError, ValueError):  # output is not a file, as in a notebook
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115, PTH123  nothing is left to flush to


def _one_line(error: BaseException) -> str:
    text = getattr(error, "format_message", lambda: str(error))()
    return " ".join(str(text).split())


def _say(id: str, **values: str) -> None:
    """Print a message about the run itself to standard error."""
    from estimator.words import PLAIN

    _tell([f"cast-estimator: {PLAIN(id, **values)}"])


def _tell(lines: Iterable[str]) -> None:
    for line in lines:
        print(line, file=sys.stderr)


if __name__ == "__main__":
    main()
