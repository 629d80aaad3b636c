"""Entry of the command line: exit codes, and one line for every refusal."""

from __future__ import annotations

import errno
import importlib
import os
import sys
from collections.abc import Sequence

from seatmesh.cli.kept_inputs import refuse_to_write_over_inputs
from seatmesh.cli.output import say
from seatmesh.cli.parser import build_parser
from seatmesh.cli.progress import finish
from seatmesh.cli.refusal_words import refusal_words
from seatmesh.errors import InputError, SeatmeshError

DONE, NOT_DONE, REFUSED = 0, 1, 2
OF_SITTERS = ("marks", "measures", "people")
"""Commands that lie in a room of their own."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return 0 when done, 2 when something given is refused, 1 for all else."""
    # Matrices are small here: threads of the linear algebra wait for one another longer than they work, most of all
    # while pictures are drawn beside them. NumPy hears it once it is loaded, which is later; who sets it is heard.
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    options = build_parser().parse_args(arguments)
    command = importlib.import_module(f"seatmesh.cli.commands.{_place_of(options.command)}_command")
    try:
        refuse_to_write_over_inputs(options)
        command.run(options)
    except InputError as refusal:
        say(f"seatmesh: {refusal_words(refusal, options)}")
        return REFUSED
    except SeatmeshError as failure:
        say(f"seatmesh: {refusal_words(failure, options)}")
        return NOT_DONE
    except KeyboardInterrupt:
        sys.stderr.write("seatmesh: stopped; nothing was left half-written\n")
        return NOT_DONE
    except BrokenPipeError:
        # Whoever read the output has gone; that is no fault of the command's.
        sys.stderr.close()
        return NOT_DONE
    except OSError as failure:
        if failure.errno != errno.ENOSPC:
            raise
        say(f"seatmesh: nothing more can be written ({failure.strerror}); make room, then start it again")
        return NOT_DONE
    finally:
        finish()
    return DONE


def _place_of(command: str) -> str:
    """Return where a command's module lies, from the folder of all commands."""
    name = command.replace("-", "_")
    return f"sitters.{name}" if name in OF_SITTERS else name
